"""Planned against done: figures, the stops behind them, and why one was not made."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from config.api.access import COMPANY, ByRole
from config.api.filters import Filter, NamedFilters, by_choice, by_id
from config.api.keyset import page_of
from config.api.problems import InvalidError, ProblemError, body_fault, parameter_fault
from fleet.models import Owner, Person, Site, people_visible_to
from fleet.services.errors import RegisterError
from schedules.api import examples
from schedules.api.answers import Told
from schedules.api.done_shapes import DoneTold, ReasonSent, ReasonTold, StopsTold
from schedules.done.figures import BY, MOST_WEEKS, Done, Figures, read_done, weeks_until
from schedules.done.judging import Judged, Outcome
from schedules.done.names import names_of
from schedules.done.parameters import DEFAULT_DONE
from schedules.done.planned import WEEK
from schedules.done.reasons import Given, NoSuchStopError, TakenError, give_reason
from schedules.done.seen import Narrowed
from schedules.models import StopReason
from schedules.office import office
from schedules.rounds.clocks import week_named
from schedules.rounds.errors import WeekPlanError
from schedules.weeks import iso_week
from visits.api.examples import sent, told
from visits.api.whole import name_of
from visits.wording.names import upper_first


def _noted(name: str) -> Callable[[Any, Any], Any]:
    return lambda values, value: {**values, name: value}


def _week(text: str) -> date:
    try:
        return week_named(text)
    except WeekPlanError as error:
        told = "no week of the calendar within reach; write it as in 2026-W50"
        raise ValueError(told) from error


def _by_week(name: str, meaning: str) -> Filter:
    schema = {"type": "string", "pattern": r"^\d{4}-W\d{2}$"}
    return Filter(_week, _noted(name), meaning, schema)


WHOSE = {
    "technician": by_id(
        _noted("technician"), "Of what was this person's; technicians get their own alone.",
        people_visible_to,
    ),
    "site": by_id(_noted("site"), "Of one site.", Site.objects.visible_to),
    "owner": by_id(_noted("owner"), "Of one owner.", Owner.objects.visible_to),
}  # fmt: skip


def _read(first: date, last: date, asked: Mapping[str, Any], reader: Any, now: datetime) -> Done:
    """As far as the reader may know: an owner their own sites, a technician their own rounds."""
    owner, technician = asked.get("owner"), asked.get("technician")
    if not reader.works_here:
        owner = reader.owner_id if owner is None else owner
    elif not reader.plans:
        technician = reader.pk
    narrowed = Narrowed(site=asked.get("site"), owner=owner)
    return read_done(first, last, now, narrowed, technician)


class DoneView(GenericAPIView[Any]):
    """What weeks promised and what came of it."""

    pagination_class = None
    keyset = ("of",)
    serializer_class = DoneTold
    filters = {
        "by": by_choice(_noted("by"), BY, "What each row is about; left out: weeks."),
        "first": _by_week("first", "The first week; left out: twelve before the last."),
        "last": _by_week("last", "The last week; left out: this one."),
        **WHOSE,
    }

    @extend_schema(
        operation_id="done",
        responses=DoneTold,
        examples=[told("Two weeks", examples.DONE)],
    )
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """How much of what published weeks planned was done, and why the rest was not.

        Owners are told of their own sites, and not by technician.
        """
        asked = NamedFilters().filter_queryset(request, {}, self)
        reader, now = request.user, timezone.now()
        by = asked.get("by", "week")
        if by == "technician" and not getattr(reader, "works_here", False):
            remedy = "ask by week or by site"
            raise InvalidError([parameter_fault("by", "owners are not told who came", remedy, by)])
        today = now.astimezone(office().zone).date()
        last = asked.get("last") or weeks_until(today, 1)[1]
        first = asked.get("first") or weeks_until(last, DEFAULT_DONE.weeks_shown)[0]
        if not first <= last < first + WEEK * MOST_WEEKS:
            remedy = f"give one before last, {MOST_WEEKS} weeks of it at most"
            raise InvalidError(
                [parameter_fault("first", "not so many weeks", remedy, iso_week(first))]
            )
        found = _read(first, last, asked, reader, now).by_name(by)
        of_weeks = by == "week"
        told = (((key.isoformat() if of_weeks else key,), key) for key in found if key is not None)
        keys, following = page_of(told, (date if of_weeks else int,), request)
        names = {} if of_weeks else names_of(by, keys)
        rows = [{"of": _of(by, key, names), **_figures(found[key])} for key in keys]
        weeks = {"first": iso_week(first), "last": iso_week(last)}
        return Response({**weeks, "by": by, "next": following, "results": rows})


def _of(by: str, key: Any, names: Mapping[int, str]) -> Told:
    if by == "week":
        return {"id": None, "name": iso_week(key)}
    return {"id": key, "name": names.get(key, "")}


def _figures(figures: Figures) -> Told:
    return {
        "planned": figures.planned,
        **{outcome.value: figures.outcomes[outcome] for outcome in Outcome},
        "on_time": figures.on_time,
        "was_overdue": figures.was_overdue,
        "unplanned": figures.unplanned,
        "reasons": [
            {"reason": reason, "count": count} for reason, count in figures.reasons.most_common()
        ],
    }


class StopsView(GenericAPIView[Any]):
    """The stops of one week."""

    pagination_class = None
    keyset = ("day", "stop")
    serializer_class = StopsTold
    filters = {
        "week": Filter(_week, _noted("week"), "The week.",
                       {"type": "string", "pattern": r"^\d{4}-W\d{2}$"}, must=True),
        "outcome": by_choice(
            _noted("outcome"), tuple(Outcome), "Stops with work that came to this."
        ),
        **WHOSE,
    }  # fmt: skip

    @extend_schema(
        operation_id="done_stops",
        responses=StopsTold,
        examples=[
            told("A week", {"week": "2026-W49", "next": None, "results": [examples.STOP_OF_WEEK]})
        ],
    )
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """What each stop that a week promised came to, fan by fan, in order of day.

        Owners are told of their own sites: neither who was to come nor what was noted.
        """
        asked = NamedFilters().filter_queryset(request, {}, self)
        reader: Any = request.user
        done = _read(asked["week"], asked["week"], asked, reader, timezone.now())
        by_stop: dict[int, list[Judged]] = defaultdict(list)
        for each in done.judged:
            by_stop[each.planned.stop].append(each)
        wanted = asked.get("outcome")
        found = (
            ((group[0].planned.on.isoformat(), stop), group) for stop, group in by_stop.items()
            if wanted is None or any(each.outcome == wanted for each in group)
        )  # fmt: skip
        shown, following = page_of(found, (date, int), request)
        sites = names_of("site", {group[0].planned.site for group in shown})
        people = Person.objects.in_bulk({group[0].planned.technician for group in shown})
        return Response({
            "week": iso_week(asked["week"]),
            "next": following,
            "results": [_stop(each, sites, people, for_us=reader.works_here) for each in shown],
        })  # fmt: skip


def _stop(
    group: Sequence[Judged], sites: Mapping[int, str], people: Mapping[int, Person], *, for_us: bool
) -> Told:
    planned = group[0].planned
    who = {"id": planned.technician, "name": name_of(people[planned.technician])}
    return {
        "stop": planned.key,
        "day": planned.on,
        "site": {"id": planned.site, "name": sites[planned.site]},
        "technician": who if for_us else None,
        "fans": [
            {
                "fan": {"id": each.planned.fan, "tag": each.planned.tag},
                "outcome": each.outcome.value,
                "done_on": each.done_on,
                "on_time": each.on_time if each.done_on else None,
                "overdue_after": each.planned.overdue_after,
                "reason": each.word.reason if each.word else "",
                "note": each.word.note if each.word and for_us else "",
            }
            for each in group
        ],
    }


class ReasonView(APIView):
    """Reasons given."""

    permission_classes = [ByRole]
    changed_by = COMPANY
    refusals = {"POST": (409,)}

    @extend_schema(
        request=ReasonSent,
        responses={201: ReasonTold, 200: ReasonTold},
        examples=[
            sent("Nobody opened", examples.REASON),
            told("Noted", examples.REASON_TOLD, 201),
            told("Stored already", examples.REASON_TOLD),
        ],
    )
    def post(self, request: Request) -> Response:
        """Say why a planned stop was not made, where no visit says it; the last word counts.

        Planners for every stop, technicians for their own; the same again is answered 200.
        """
        body = ReasonSent(data=request.data)
        body.is_valid(raise_exception=True)
        given = _given(body.validated_data)
        by: Any = request.user
        try:
            row, is_new = give_reason(given=given, by=by, now=timezone.now())
        except NoSuchStopError as error:
            unknown = "no stop in force that week, or not yours to see; take one of done/stops"
            raise InvalidError(
                [body_fault("#/stop", unknown, body.validated_data["stop"])]
            ) from error
        except TakenError as error:
            raise ProblemError(
                status.HTTP_409_CONFLICT, "id_taken", f"{upper_first(str(error))}."
            ) from error
        except RegisterError as error:
            raise InvalidError(
                [body_fault(f"#/{field}", text) for field, text in error.faults.items()]
            ) from error
        code = status.HTTP_201_CREATED if is_new else status.HTTP_200_OK
        return Response(_reason(row, given.monday), status=code)


def _given(told: Mapping[str, Any]) -> Given:
    try:
        monday = _week(told["week"])
    except ValueError as error:
        raise InvalidError([body_fault("#/week", str(error), told["week"])]) from error
    return Given(told["id"], monday, told["stop"], told["reason"], told.get("note", ""))


def _reason(row: StopReason, monday: date) -> Told:
    return {
        "id": row.pk, "week": iso_week(monday), "stop": row.stop.key, "day": row.on,
        "reason": row.reason, "note": row.note, "given_at": row.given_at,
        "given_by": {"id": row.given_by_id, "name": name_of(row.given_by)},
    }  # fmt: skip
