"""A small fleet with a crew, due as a week begins, for tests of planning."""

from __future__ import annotations

import datetime as dt
from typing import Any

from fleet.models import Fan, Person
from fleet.services.working import set_working_week
from schedules.due.reckoning import reckon_fleet
from schedules.models import DRAFT, PlannedStop, PlanVersion
from schedules.rounds.services.editing import Who
from schedules.rounds.services.planning import Search, WeekPlanned, plan_week
from schedules.rounds.storing import rounds_of
from tests.bookings.booked import NOW, planner, technician
from tests.schedules.fans import make_fan

MONDAY = dt.date(2026, 12, 7)
"""Of the week after the one in which NOW is."""
TUESDAY, WEDNESDAY = MONDAY + dt.timedelta(days=1), MONDAY + dt.timedelta(days=2)
HOURS = [[[420, 930]]] * 5 + [[]] * 2


def due_fan(number: int, **site: Any) -> Fan:
    """A fan that nobody has ever looked at: walk-through and code inspection are long overdue."""
    return make_fan(f"EF-{number}", latitude=30.5 + number / 100, longitude=-88.6, **site)


def on_crew(person: Person, **facts: Any) -> Person:
    """Give a technician a base and hours, Monday to Friday 7:00 to 15:30."""
    known = {"latitude": 30.5, "longitude": -88.6, "hours": HOURS, **facts}
    set_working_week(technician=person, facts=known, by=None, now=NOW)
    return person


def park(**facts: Any) -> Person:
    """Jo Park, who is qualified for code inspections."""
    return on_crew(technician(qualified_code_inspection=True), **facts)


def quill(**facts: Any) -> Person:
    """Ada Quill, who is qualified for nothing beyond walk-throughs."""
    return on_crew(technician("Ada Quill"), **facts)


def plan(**search: Any) -> WeekPlanned:
    """The week's draft, planned by the same few steps each time."""
    reckon_fleet(now=NOW, only_stale=True)
    told = Search(**{"iterations": 30, **search})
    return plan_week(monday=MONDAY, by=planner(), now=NOW, search=told)


def who(revision: int, by: Person | None = None) -> Who:
    """Somebody who plans and has seen that revision."""
    return Who(MONDAY, revision, by or planner(), NOW)


def draft() -> PlanVersion:
    """The draft as it stands."""
    return PlanVersion.objects.get(plan__monday=MONDAY, number=DRAFT)


def stops(version: PlanVersion | None = None) -> list[PlannedStop]:
    """All stops in order of day, person and place."""
    return [stop for each in rounds_of(version or draft()) for stop in each.stops.all()]


def stop_at(fan: Fan) -> PlannedStop:
    """The draft's stop at a fan's roof."""
    return next(stop for stop in stops() if stop.site_id == fan.site_id)


def left_out() -> dict[str, str]:
    """Why work is left out, by tag and skill."""
    rows = draft().left_out.select_related("fan")
    return {f"{row.fan.tag} {row.skill}".strip(): row.reason for row in rows}
