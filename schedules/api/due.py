"""When fans are due and why: listed in the due list's own order, and one fan at length."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.exceptions import NotFound
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.utils.urls import replace_query_param

from config.api.filters import (
    Filter,
    NamedFilters,
    NoParametersMixin,
    by_choice,
    by_flag,
    by_id,
    by_text,
)
from config.api.keyset import MOST, PAGE
from config.api.problems import InvalidError, parameter_fault
from fleet.models import Owner, Site
from fleet.quantities import VERDICT_ORDER
from schedules.api import examples
from schedules.api.answers import Told, tell_dates, tell_stop
from schedules.api.shapes import RULE_CODES, DueLineTold, DuePageTold
from schedules.due.lines import DueLine, lines_of, section_of
from schedules.due.lists import DueFilters, PageKey, PageKeyError, due_page, filtered, undated
from schedules.due.local_days import LocalDays, days_at, same_day
from schedules.due.waiting import AtStake, at_stake
from schedules.engine.record import RULES
from schedules.models import DueState
from schedules.wording import notes_of
from schedules.wording.owners import waiting_told
from visits.api.examples import told

FIRST_YEAR, LAST_YEAR = 1990, 2200
MOST_DAYS = 3660


def _noted(name: str) -> Callable[[Any, Any], Any]:
    """Keeps a parameter's value; the list itself is narrowed with the day it is where each is."""
    return lambda values, value: {**values, name: value}


def _whole(low: int, high: int) -> Callable[[str], int]:
    def read(text: str) -> int:
        number = int(text) if text.isascii() and text.isdigit() and len(text) < 10 else low - 1
        if not low <= number <= high:
            raise ValueError(f"no such number; give {low} to {high}")
        return number

    return read


def _day(text: str) -> date:
    try:
        day = date.fromisoformat(text)
    except ValueError:
        day = date.min
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise ValueError(f"no day within reach; write it as 2026-03-02, {FIRST_YEAR} or later")
    return day


@dataclass(frozen=True)
class _Asked:
    """What a list was asked for, its defaults filled in."""

    filters: DueFilters
    days: LocalDays
    limit: int
    after: str
    undated: bool

    @staticmethod
    def of(values: dict[str, Any], person: Any) -> _Asked:
        zones = Site.objects.visible_to(person).zones()
        on = values.get("on")
        filters = DueFilters(
            owner=values.get("owner"),
            site=values.get("site"),
            rule=RULES.index(values["rule"]) if "rule" in values else None,
            verdict=VERDICT_ORDER[values["verdict"]] if "verdict" in values else None,
            within_days=values.get("within"),
            overdue=values.get("overdue", False),
        )
        return _Asked(
            filters=filters,
            days=same_day(on, zones) if on else days_at(timezone.now(), zones),
            limit=values.get("limit", PAGE),
            after=values.get("after", ""),
            undated=values.get("undated", False),
        )


class DueListView(GenericAPIView[DueState]):
    """What is due."""

    pagination_class = None
    serializer_class = DueLineTold
    filters = {
        "owner": by_id(_noted("owner"), "Fans of one owner.", Owner.objects.visible_to),
        "site": by_id(_noted("site"), "Fans of one site.", Site.objects.visible_to),
        "rule": by_choice(_noted("rule"), tuple(RULE_CODES), "Due or overdue by this rule."),
        "verdict": by_choice(
            _noted("verdict"), ("watch", "act", "stop"), "With this or worse standing open."
        ),
        "within": Filter(
            _whole(0, MOST_DAYS), _noted("within"), "Due by so many days from today.",
            {"type": "integer", "minimum": 0, "maximum": MOST_DAYS},
        ),
        "on": Filter(
            _day, _noted("on"), "As if it were this day everywhere.",
            {"type": "string", "format": "date"},
        ),
        "overdue": by_flag(_noted("overdue"), "True: overdue ones only."),
        "undated": by_flag(_noted("undated"), "True: those instead that no rule gives a day."),
        "limit": Filter(
            _whole(1, MOST), _noted("limit"), "Rows on a page.",
            {"type": "integer", "minimum": 1, "maximum": MOST, "default": PAGE},
        ),
        "after": by_text(
            _noted("after"), "Begin after this key; take it from `next`, do not make one."
        ),
    }  # fmt: skip

    @extend_schema(
        operation_id="due_list",
        responses=DuePageTold,
        examples=[told("A page", {"next": None, "results": [examples.DUE_LINE]})],
    )
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Fans in order of section (overdue, this week, later), stops first in each, then day.

        Each with every rule's date and sentence.  Fans without any day are listed by ``undated``.
        """
        asked = _Asked.of(NamedFilters().filter_queryset(request, {}, self), request.user)
        states = DueState.objects.visible_to(request.user)
        page = _undated_page if asked.undated else _dated_page
        try:
            lines, key = page(states, asked)
        except PageKeyError as error:
            problem, _, remedy = str(error).rstrip(".").partition("; ")
            raise InvalidError([parameter_fault("after", problem, remedy)]) from error
        address = request.build_absolute_uri()
        following = replace_query_param(address, "after", key) if key else None
        return Response({"next": following, "results": tell_lines(lines, for_us=_is_ours(request))})


def _dated_page(states: Any, asked: _Asked) -> tuple[Sequence[DueLine], str]:
    after = PageKey.parse(asked.after) if asked.after else None
    page = due_page(
        states, days=asked.days, filters=asked.filters, after=after, size=asked.limit, whole=True
    )
    return page.lines, str(page.next_key or "")


def _undated_page(states: Any, asked: _Asked) -> tuple[Sequence[DueLine], str]:
    rows = undated(filtered(states, asked.filters, asked.days)).select_related("owner")
    if asked.after:
        rows = rows.filter(fan__gt=_fan_id(asked.after))
    found = list(rows[: asked.limit + 1])
    shown = [("undated", state) for state in found[: asked.limit]]
    key = str(shown[-1][1].fan_id) if len(found) > asked.limit else ""
    return lines_of(shown, asked.days, whole=True), key


def _fan_id(key: str) -> int:
    if not key.isascii() or not key.isdigit() or int(key) >= 2**63:
        raise PageKeyError(f"{key!r} is no page of this list; start again from its first page.")
    return int(key)


class DueView(NoParametersMixin, GenericAPIView[DueState]):
    """One fan's dates."""

    pagination_class = None
    serializer_class = DueLineTold

    @extend_schema(responses=DueLineTold, examples=[told("A fan", examples.DUE_LINE)])
    def get(self, request: Request, fan: int, *args: Any, **kwargs: Any) -> Response:
        """When one fan is due, by which rule, with the runners-up and what cannot be told."""
        rows = DueState.objects.visible_to(request.user).select_related("fan", "site", "owner")
        state = rows.filter(fan__id=fan).first()  # by id: any number, however long
        if state is None:
            raise NotFound
        days = days_at(timezone.now(), [state.site.time_zone])
        section = section_of(state, days) if state.due_on else "undated"
        lines = lines_of([(section, state)], days, whole=True)
        return Response(tell_lines(lines, for_us=_is_ours(request))[0])


def _is_ours(request: Request) -> bool:
    return getattr(request.user, "works_here", False)


def tell_lines(lines: Sequence[DueLine], *, for_us: bool) -> list[Told]:
    """Whole lines as the API tells them, with what waiting costs."""
    stakes = at_stake(lines)
    return [_line(line, stakes.get(line.state.fan_id), for_us) for line in lines]


def _line(line: DueLine, stake: AtStake | None, for_us: bool) -> Told:
    state = line.state
    return {
        "fan": {"id": state.fan_id, "tag": state.fan.tag},
        "place": state.fan.place,
        "site": {"id": state.site_id, "name": state.site.name},
        "owner": {"id": state.owner_id, "name": state.owner.name},
        "section": line.section,
        "days_left": line.days_left,
        "days_over": line.days_over,
        "stop": tell_stop(line.stop),
        "notes": [str(note) for note in notes_of(line)],
        "waiting": _waiting(line, stake, for_us),
        **tell_dates(state, line.dates, line.untold, line.seen),
    }


def _waiting(line: DueLine, stake: AtStake | None, for_us: bool) -> Told | None:
    if stake is None:
        return None
    return {
        "low": stake.low,
        "high": stake.high,
        "weeks": round(stake.weeks, 2),
        "chance": round(stake.chance, 4),
        "reckoned": waiting_told(line, stake, for_us=for_us).reckoned,
    }
