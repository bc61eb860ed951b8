"""Working weeks, days off and blockers entered through their services."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from fleet.models import Blocker, Person, WorkingWeek
from fleet.services.blockers import edit_blocker, enter_blocker
from fleet.services.errors import RegisterError
from fleet.services.working import give_days_off, set_working_week
from tests.schedules.fans import NOW, make_fan

pytestmark = pytest.mark.django_db
TOLD: dict[str, Any] = {"by": None, "now": NOW}
DAY = dt.date(2026, 6, 15)
WEEK = {"latitude": 30.5, "longitude": -88.6, "hours": [[[420, 930]]] * 5 + [[]] * 2}


def test_working_week_when_said_again_then_corrected_with_its_history(theo: Person) -> None:
    for minutes in (0, 60):
        set_working_week(technician=theo, facts={**WEEK, "overtime_minutes": minutes}, **TOLD)
    assert WorkingWeek.objects.get().overtime_minutes == 60
    assert WorkingWeek.history.count() == 2


def test_working_week_when_of_a_dispatcher_then_refused(dana: Person) -> None:
    with pytest.raises(RegisterError, match="dana is a dispatcher; only technicians are sent"):
        set_working_week(technician=dana, facts=WEEK, **TOLD)


@pytest.mark.parametrize(
    ("fact", "told"),
    [
        ({"latitude": 91.0}, "-90 to 90"),
        ({"reserve_minutes": 900}, "480"),
        ({"hours": [[]] * 7}, "No day has hours"),
        ({"hours": [[[420, 540], [600, 720]], *[[]] * 6]}, "several spans"),
    ],
)
def test_working_week_when_impossible_then_refused(
    fact: dict[str, Any], told: str, theo: Person
) -> None:
    with pytest.raises(RegisterError, match=told):
        set_working_week(technician=theo, facts=WEEK | fact, **TOLD)


def test_days_off_when_they_end_before_they_begin_then_refused(theo: Person) -> None:
    with pytest.raises(RegisterError, match="last day lies before the first"):
        give_days_off(
            technician=theo, first_on=DAY, last_on=DAY - dt.timedelta(days=1), reason="", **TOLD
        )


def test_blocker_when_cleared_then_stands_until_that_day() -> None:
    fan = make_fan()
    facts = {"kind": "lift", "since_on": DAY}
    blocker = enter_blocker(site=fan.site, facts=facts, **TOLD)
    edit_blocker(blocker=blocker, facts={"cleared_on": DAY + dt.timedelta(days=3)}, **TOLD)
    told = [
        Blocker.objects.standing(day, day).exists()
        for day in (DAY + dt.timedelta(days=n) for n in (-1, 0, 2, 3))
    ]
    assert told == [False, True, True, False]


@pytest.mark.parametrize(
    ("facts", "told"),
    [
        ({"kind": "parts"}, "Parts are for a fan"),
        ({"kind": "wind"}, "wind"),
        ({"kind": "lift", "cleared_on": DAY - dt.timedelta(days=1)}, "cleared before it began"),
    ],
)
def test_blocker_when_it_makes_no_sense_then_refused(facts: dict[str, Any], told: str) -> None:
    with pytest.raises(RegisterError, match=told):
        enter_blocker(site=make_fan().site, facts={"since_on": DAY, **facts}, **TOLD)


def test_blocker_when_for_a_fan_of_another_roof_then_refused() -> None:
    facts = {"kind": "parts", "fan": make_fan("EF-9"), "since_on": DAY}
    with pytest.raises(RegisterError, match="EF-9 stands on another roof"):
        enter_blocker(site=make_fan().site, facts=facts, **TOLD)
