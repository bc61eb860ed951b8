"""Who has no round on a day, who is off that day or all week, and why."""

from __future__ import annotations

import datetime as dt

import pytest
from django.test import Client

from fleet.models import Person, WorkingWeek
from fleet.services.working import give_days_off
from schedules.models import PlannedRound
from tests.bookings.booked import NOW, technician
from tests.pages.test_due_list import text_of
from tests.rounds.weeks import HOURS, MONDAY, draft, due_fan, on_crew, park, plan

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("monday_before")]


def crew_of(name: str, days: int = 5) -> Person:
    """Somebody who works on so many weekdays."""
    return on_crew(technician(name), hours=HOURS[:days] + [[]] * (7 - days))


def off(person: Person | None, first: int, last: int, reason: str = "") -> None:
    """Days off, counted from the week's Monday."""
    day = dt.timedelta(days=1)
    give_days_off(
        technician=person, first_on=MONDAY + first * day, last_on=MONDAY + last * day,
        reason=reason, by=None, now=NOW,
    )  # fmt: skip


def told_of_the_week(browser: Client) -> str:
    """The lines beside the drawing, days first."""
    words = text_of(browser.get("/week/2026-W50/"))
    return words.partition("Mon 7 Dec ")[2].partition("Sites and rounds")[0]


def test_day_when_somebody_is_off_then_named_with_why(browser: Client) -> None:
    due_fan(1)
    park()
    off(crew_of("Ada Quill"), 1, 1, "dentist")
    off(crew_of("Ned Stow"), 1, 1)
    crew_of("Ivo Lund", days=4)
    off(None, 2, 2, "founders' day")
    plan()
    told = told_of_the_week(browser)
    assert "Tue 8 Dec no round: I. Lund, J. Park off: A. Quill (dentist), N. Stow (day off)" in told
    assert "Wed 9 Dec off: everybody (founders’ day)" in told.replace("'", "’")
    assert "Fri 11 Dec no round: J. Park, A. Quill, N. Stow off: I. Lund (no hours that" in told
    assert "Sat 12 Dec" not in told


def test_week_when_somebody_is_not_there_at_all_then_told_once_with_why(browser: Client) -> None:
    due_fan(1)
    gone = park()
    off(crew_of("Ada Quill"), -7, 6, "leave")
    technician("Ned Stow")
    plan()
    assert PlannedRound.objects.filter(version=draft(), technician=gone).exists()
    Person.objects.filter(pk=gone.pk).update(is_active=False)
    told = told_of_the_week(browser)
    assert (
        "Away A. Quill: all week, until Sun 13 Dec 2026 (leave) N. Stow: no base and hours on "
        "record J. Park: no longer active"
    ) in told
    assert "off:" not in told


def test_round_when_its_technician_stops_working_then_told_beside_it(browser: Client) -> None:
    due_fan(1)
    person = park()
    plan()
    (row,) = draft().rounds.all()
    told = "J. Park has a round and does not work then ({}): plan the week again"
    assert "does not work then" not in told_of_the_week(browser)
    days = (row.day - MONDAY).days
    off(person, days, days, "flu")
    assert told.format("flu") in told_of_the_week(browser)
    WorkingWeek.objects.update(hours=[[]] * 7)
    assert told.format("no hours that weekday") in told_of_the_week(browser)
    Person.objects.filter(pk=person.pk).update(role=Person.Role.DISPATCHER)
    words = told_of_the_week(browser)
    assert told.format("cannot be sent any more") in words
    assert "Away J. Park: no longer a technician" in words


@pytest.mark.parametrize("allowed", [60, 0])
def test_round_when_past_the_shift_then_overtime_as_far_as_that_is_allowed(
    browser: Client, allowed: int
) -> None:
    person = park(hours=[[[420, 500]], *[[]] * 6], reserve_minutes=0, overtime_minutes=60)
    due_fan(1)
    due_fan(2)
    plan()
    WorkingWeek.objects.filter(technician=person).update(overtime_minutes=allowed)
    (row,) = draft().rounds.all()
    late = row.back_minute - 500
    assert late > 0
    shown = f"{late} min overtime" if allowed else f"back {late} min late"
    assert f"J. Park 2 stops, {shown}" in told_of_the_week(browser)
