"""Small published weeks with a clock, for tests of what became of them."""

from __future__ import annotations

import datetime as dt
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from fleet.models import Fan, Person
from schedules.done.figures import Done, read_done
from schedules.done.judging import Judged
from schedules.engine import walk_through
from schedules.models import PlannedRound, PlannedStop, PlanVersion, StopFan, WeekPlan
from tests.bookings.booked import planner
from visits.models import Visit

ZONE = ZoneInfo("America/Chicago")
MONDAY = dt.date(2026, 11, 30)
DAYS = dict(zip(("mon", "tue", "wed", "thu", "fri"), range(5), strict=True))
NEXT_WEEK = dt.datetime(2026, 12, 7, 8, tzinfo=ZONE)


def day(name: str, weeks: int = 0) -> dt.date:
    """A day of the week, or of one after it."""
    return MONDAY + dt.timedelta(days=DAYS[name] + 7 * weeks)


def at(name: str, clock: str, weeks: int = 0) -> dt.datetime:
    """A moment of the week by the office's clock."""
    return dt.datetime.combine(day(name, weeks), dt.time.fromisoformat(clock), ZONE)


FRIDAY = day("fri")
BEFORE = at("fri", "16:00", -1)
"""When weeks are published that nobody changes."""


def publish(
    *stops: tuple[Fan, str, Person],
    when: dt.datetime = BEFORE,
    weeks: int = 0,
    hour: int = 9,
    rules: tuple[int, ...] = (walk_through.number,),
    skill: str = "",
    overdue: dt.date = FRIDAY,
) -> list[PlannedStop]:
    """A version with these stops, each a fan, a day and who goes, at one full hour."""
    plan, _ = WeekPlan.objects.get_or_create(monday=MONDAY + dt.timedelta(days=7 * weeks))
    number = plan.versions.filter(number__gt=0).count() + 1
    version = PlanVersion.objects.create(
        plan=plan, number=number, published_at=when, published_by=planner()
    )
    made = []
    for fan, name, person in stops:
        row, _ = PlannedRound.objects.get_or_create(
            version=version, technician=person, day=day(name, weeks),
            defaults={"leave_minute": 420, "back_minute": 900, "travel_minutes": 60,
                      "travel_m": 1e4},
        )  # fmt: skip
        stop = PlannedStop.objects.create(
            round=row, site=fan.site, position=row.stops.count() + 1, arrive_minute=hour * 60,
            start_minute=hour * 60, leave_minute=hour * 60 + 45, work_minutes=45,
            travel_minutes=20, travel_m=5e3, why="overdue",
        )  # fmt: skip
        args = {"due_day": overdue.toordinal() - 14, "overdue_after_day": overdue.toordinal(),
                "why": "interval", "numbers": {}}  # fmt: skip
        StopFan.objects.create(stop=stop, fan=fan, skill=skill, rules=[*rules], rule_args=args)
        made.append(stop)
    return made


def visit(fan: Fan, on: dt.date, **facts: Any) -> Visit:
    """A visit to the fan's roof at ten in the morning that says nothing yet."""
    began = dt.datetime.combine(on, dt.time(10), fan.site.zone)
    known: dict[str, Any] = {
        "kind": "walk_through", "received_at": began + dt.timedelta(hours=1), "local_minute": 600,
        "payload_sha256": "0" * 64, **facts,
    }  # fmt: skip
    return Visit.objects.create(site=fan.site, began_at=began, local_on=on, **known)


def missed(fan: Fan, on: dt.date, reason: str = "no_access", **facts: Any) -> Visit:
    """Somebody stood before the roof of the fan and did not reach it."""
    made = visit(fan, on, **facts)
    made.not_reached.create(fan=fan, reason=reason)
    return made


@pytest.fixture
def monday_after(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is the Monday after the week that is looked at."""
    monkeypatch.setattr(timezone, "now", lambda: NEXT_WEEK)


def done(now: dt.datetime = NEXT_WEEK) -> Done:
    """What the one week came to."""
    return read_done(MONDAY, MONDAY, now)


def only(now: dt.datetime = NEXT_WEEK) -> Judged:
    """What the week's one promise came to."""
    (each,) = done(now).judged
    return each
