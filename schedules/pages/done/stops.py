"""The stops behind a figure: what became of each, and where somebody says why not."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from urllib.parse import parse_qsl
from uuid import UUID, uuid4

from django import forms
from django.contrib import messages
from django.db.models import Q
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST, require_safe

from fleet.models import Person, Site
from fleet.services.errors import RegisterError
from schedules.done.judging import NOT_DONE, Judged
from schedules.done.reasons import (
    MOST_NOTE,
    Given,
    NoSuchStopError,
    give_reason,
    reasons_given,
)
from schedules.models import StopReason
from schedules.pages.done.asking import GROUPS, Asked, asked_by, member_of_company
from schedules.rounds.clocks import week_named
from schedules.rounds.errors import WeekPlanError
from schedules.weeks import iso_week
from schedules.wording import day_text
from schedules.wording.bookings import technician_name
from schedules.wording.done import DONE_REASONS, OUTCOMES, outcome_text
from visits.models import NotReached
from visits.wording import words
from visits.wording.names import upper_first

PAGE = 50
GROUP_WORDS = {"done": gettext_lazy("done"), "not_done": gettext_lazy("not done"), **OUTCOMES}


class ReasonForm(forms.Form):
    """Why a stop was not made; ``id`` lets a form sent twice count once."""

    id = forms.UUIDField(widget=forms.HiddenInput())
    reason = forms.ChoiceField(
        label=gettext_lazy("Why not"),
        choices=lambda: [
            ("", _("choose")),
            *((r, words(DONE_REASONS, r)) for r in NotReached.REASONS),
        ],
        error_messages={"required": gettext_lazy("Choose a reason.")},
    )
    note = forms.CharField(label=gettext_lazy("Note"), required=False, max_length=MOST_NOTE)

    def __init__(self, asked: Any = None, **kwargs: Any) -> None:
        super().__init__(asked, label_suffix="", **kwargs)


@dataclass(frozen=True)
class ShownStop:
    """A stop: who was to come when, fans by what became of them, what was said of it."""

    key: str
    week: str
    day: str
    site: Site
    who: str
    lines: Sequence[tuple[str, str, bool]]
    said: Sequence[str]
    form: ReasonForm | None


@dataclass(frozen=True)
class Refused:
    """A form that was turned down."""

    key: UUID
    form: ReasonForm


@require_safe
def done_stops(request: HttpRequest) -> HttpResponse:
    """Stops of the weeks asked for, the newest day first."""
    person, now = member_of_company(request), timezone.now()
    return _show(request, asked_by(request.GET.dict(), person, now), now)


@require_POST
def say_why(request: HttpRequest, week: str, key: UUID) -> HttpResponse:
    """Take the reason for a stop, and show the list that it was given from."""
    person, now = member_of_company(request), timezone.now()
    asked = asked_by(dict(parse_qsl(request.POST.get("back", ""))), person, now)
    form = ReasonForm(request.POST, auto_id=f"{key}_%s")
    try:
        monday = week_named(week)
    except WeekPlanError as error:
        raise Http404(str(error)) from error
    if form.is_valid():
        told = form.cleaned_data
        given = Given(told["id"], monday, key, told["reason"], told["note"])
        try:
            row, _new = give_reason(given=given, by=person, now=now)
        except NoSuchStopError as error:
            raise Http404(str(error)) from error
        except RegisterError as error:
            for field, text in (error.faults or {"": str(error)}).items():
                form.add_error(field if field in form.fields else None, f"{upper_first(text)}.")
        else:
            text = _("Noted for {site}: {why}.").format(
                site=row.stop.site.name, why=words(DONE_REASONS, row.reason)
            )
            messages.success(request, text)
            return redirect(f"{reverse('done_stops')}?{asked.address()}#stop-{key}")
    return _show(request, asked, now, Refused(key, form))


def _show(
    request: HttpRequest, asked: Asked, now: datetime, refused: Refused | None = None
) -> HttpResponse:
    by_stop: dict[int, list[Judged]] = defaultdict(list)
    judged = asked.read(now).judged
    for each in judged:
        if asked.holds(each):
            by_stop[each.planned.stop].append(each)
    newest = sorted(by_stop.values(), key=lambda told: told[0].planned.on, reverse=True)
    start = _start(request.GET.get("from", ""))
    shown = newest[start : start + PAGE]
    context: dict[str, Any] = {
        "address": asked.address(),
        "first": iso_week(asked.first), "last": iso_week(asked.last),
        "heading": upper_first(str(GROUP_WORDS[asked.outcome])) if asked.outcome in GROUPS else "",
        "why": words(DONE_REASONS, asked.reason) if asked.reason in DONE_REASONS else "",
        "outcomes": [(code, upper_first(str(GROUP_WORDS[code]))) for code in GROUPS],
        "asked": asked,
        "stops": _stops(shown, refused),
        "count": len(newest),
        "next": start + PAGE if len(newest) > start + PAGE else None,
    }  # fmt: skip
    return render(request, "schedules/done/stops.html", context, status=409 if refused else 200)


def _start(text: str) -> int:
    if not text:
        return 0
    if not (text.isascii() and text.isdecimal() and len(text) < 10):
        raise Http404
    return int(text)


def _stops(shown: Sequence[Sequence[Judged]], refused: Refused | None) -> list[ShownStop]:
    """The stops of a page in words; three queries."""
    every = [each for told in shown for each in told]
    sites = Site.objects.in_bulk({each.planned.site for each in every})
    who = {each.planned.technician for each in every}
    who |= {each.look.by for each in every if each.look and each.look.by}
    people = Person.objects.in_bulk(who)
    said: dict[int, list[StopReason]] = defaultdict(list)
    for row in reasons_given(Q(stop__in={each.planned.stop for each in every})):
        said[row.stop_id].append(row)
    return [_stop(told, sites, people, said, refused) for told in shown]


def _stop(
    told: Sequence[Judged],
    sites: Mapping[int, Site],
    people: Mapping[int, Person],
    said: Mapping[int, Sequence[StopReason]],
    refused: Refused | None,
) -> ShownStop:
    first = told[0].planned
    undone = any(each.outcome in NOT_DONE for each in told)
    form = None
    if undone:
        mine = refused is not None and refused.key == first.key
        form = refused.form if refused and mine else ReasonForm(
            initial={"id": uuid4()}, auto_id=f"{first.key}_%s"
        )  # fmt: skip
    return ShownStop(
        key=str(first.key),
        week=iso_week(first.monday),
        day=day_text(first.on),
        site=sites[first.site],
        who=technician_name(people[first.technician]),
        lines=list(_lines(told, people)),
        said=[_said(row) for row in said.get(first.stop, ())],
        form=form,
    )


def _lines(told: Iterable[Judged], people: Mapping[int, Person]) -> Iterable[tuple[str, str, bool]]:
    """Tags of fans that came to the same, what that is, and whether it is left undone."""
    by_text: dict[tuple[str, bool], list[str]] = defaultdict(list)
    for each in told:
        other = each.look is not None and each.look.by not in (None, each.planned.technician)
        by = people.get(each.look.by or 0) if each.look and other else None
        text = outcome_text(each, by)
        by_text[text, each.outcome in NOT_DONE].append(each.planned.tag)
    for (text, undone), tags in by_text.items():
        yield ", ".join(dict.fromkeys(tags)), text, undone


def _said(row: StopReason) -> str:
    """``No access (gate locked): D. Reyes, Wed 2 Dec 2026``."""
    why = words(DONE_REASONS, row.reason)
    why = f"{why} ({row.note})" if row.note else why
    on = row.given_at.astimezone(timezone.get_current_timezone()).date()
    return f"{upper_first(why)}: {technician_name(row.given_by)}, {day_text(on)}"
