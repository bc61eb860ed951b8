"""Where those who plan send a week's forms: stops moved, swapped, pinned, out, in; publishing."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from fleet.services.errors import RegisterError
from schedules.jobs.ledger import reopen
from schedules.jobs.timetable import PLAN_ASKED
from schedules.models import DRAFT, AskedPlan, PlannedStop
from schedules.pages.week.answering import Answer, answer_with, round_anchor, stop_key
from schedules.pages.week.asking import monday_named, planner
from schedules.pages.week.forms import ChangeForm
from schedules.rounds.errors import WeekPlanError
from schedules.rounds.services.asked import ask_for_plan
from schedules.rounds.services.editing import (
    Changed,
    Who,
    move_stop,
    pin_stop,
    put_in_site,
    swap_stops,
    take_out_stop,
    undo,
)
from schedules.rounds.services.publishing import Published, publish_week
from schedules.weeks import iso_week
from schedules.wording.bookings import booked_text
from schedules.wording.prices import fault_texts, price_text
from schedules.wording.rounds import did_text, when_told_text
from visits.wording.names import upper_first

Told = dict[str, Any]
Do = Callable[[Who, Told], "Changed | Published | AskedPlan"]


@require_POST
def change_week(request: HttpRequest, week: str) -> HttpResponse:
    """Do what a form of the week's page says, and show the page with what it came to."""
    by, monday = planner(request), monday_named(week)
    form = ChangeForm(request.POST)
    told, name = form.told, iso_week(monday)
    do, *wanted = CHANGES.get(told["do"] or "", (None,))
    if do is None:
        raise Http404
    stop, begins = stop_key(told["stop"]), _round_before(monday, told)
    if missing := form.missing(*wanted):
        return answer_with(request, Answer(name, missing, stop=stop, round=begins, is_refused=True))
    try:
        done = do(Who(monday, told["seen"], by, timezone.now()), told)
    except (WeekPlanError, RegisterError) as error:
        text = f"{upper_first(str(error)).rstrip('.')}."
        return answer_with(request, Answer(name, text, stop=stop, round=begins, is_refused=True))
    if isinstance(done, AskedPlan):
        reopen(PLAN_ASKED)
        return redirect(reverse("week_page", args=[name]) + "#asked")
    if isinstance(done, Published):
        return answer_with(request, _published(name, done))
    return answer_with(request, _changed(name, done, told, begins))


def _changed(week: str, done: Changed, told: Told, begins: str) -> Answer:
    change = done.draft.plan.changes.get(revision=done.revision)
    key = told["stop"]
    if told["do"] == "put_in":
        at = done.draft.rounds.filter(technician=told["technician"], day=told["day"])
        put = PlannedStop.objects.filter(round__in=at, site=told["site"]).order_by("-pk").first()
        key = put.key if put else None
    return Answer(
        week,
        f"{upper_first(did_text(change))}. {price_text(done.price)}",
        fault_texts(done.price.breaks),
        fault_texts(done.price.mends),
        stop=stop_key(key),
        round=begins,
        can_undo=told["do"] != "undo",
    )


def _published(week: str, done: Published) -> Answer:
    text = _(
        "Published as version {number}: {made} bookings made, {moved} moved, {gone} withdrawn. "
        "{when}"
    ).format(
        number=done.version.number, made=done.made, moved=done.moved, gone=done.withdrawn,
        when=when_told_text(),
    )  # fmt: skip
    beside = _("Booked beside the plan and left alone: {what}, {site}")
    return Answer(
        week, text,
        [beside.format(what=booked_text(each), site=each.site.name) for each in done.beside],
    )  # fmt: skip


def _move(who: Who, told: Told) -> Changed:
    return move_stop(
        who, stop=told["stop"], technician=told["technician"], day=told["day"],
        position=told["position"],
    )  # fmt: skip


def _shift(who: Who, told: Told, places: int) -> Changed:
    """Within its round, so many places later."""
    row = _planned(who.monday, told)
    technician, day, position = (
        (row.round.technician_id, row.round.day, row.position) if row else (0, date.min, 0)
    )
    return move_stop(
        who, stop=told["stop"], technician=technician, day=day,
        position=max(0, position - 1 + places),
    )  # fmt: skip


def _planned(monday: date, told: Told) -> PlannedStop | None:
    """The stop of the draft that a form is about, as it stands."""
    rows = PlannedStop.objects.select_related("round").filter(key=told["stop"])
    return rows.filter(round__version__plan__monday=monday, round__version__number=DRAFT).first()


def _round_before(monday: date, told: Told) -> str:
    """Where the stop is before a change, for it may be gone after it."""
    row = _planned(monday, told) if told["stop"] else None
    return round_anchor(row.round.technician_id, row.round.day) if row else ""


def _put_in(who: Who, told: Told) -> Changed:
    return put_in_site(
        who, site=told["site"], technician=told["technician"], day=told["day"],
        position=told["position"],
    )  # fmt: skip


CHANGES: dict[str, tuple[Any, ...]] = {
    "move": (_move, "stop", "technician", "day"),
    "earlier": (lambda who, told: _shift(who, told, -1), "stop"),
    "later": (lambda who, told: _shift(who, told, 1), "stop"),
    "swap": (
        lambda who, told: swap_stops(who, stop=told["stop"], other=told["other"]), "stop", "other",
    ),
    "pin": (lambda who, told: pin_stop(who, stop=told["stop"]), "stop"),
    "unpin": (lambda who, told: pin_stop(who, stop=told["stop"], pinned=False), "stop"),
    "take_out": (lambda who, told: take_out_stop(who, stop=told["stop"]), "stop"),
    "put_in": (_put_in, "site", "technician", "day"),
    "undo": (lambda who, told: undo(who),),
    "plan": (lambda who, told: ask_for_plan(who, fresh=told["fresh"]),),
    "publish": (lambda who, told: publish_week(who),),
}  # fmt: skip
"""What can be done by its name in a form: how, and what it has to be told."""
