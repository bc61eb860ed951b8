"""Half a year of weeks, each planned from what the ones before left: nobody is forgotten."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cache

import numpy as np
import pytest

from schedules.bench.weeks import MONDAY
from schedules.engine import plan_rounds
from schedules.engine.rounds import (
    DueFan,
    Plan,
    Problem,
    Reason,
    RoundsParams,
    Shift,
    Site,
    Technician,
    Travel,
)

WEEKS, FANS, GRACE_DAYS = 26, 36, 14
SHORT_MINUTES = 240
"""A shift just long enough to get to the last site and back."""
pytestmark = pytest.mark.once


@dataclass
class HalfYear:
    """Days by fan: when it was visited against its last day, and when it was named as too much."""

    visits: list[tuple[int, int, int]] = field(default_factory=list)
    """Fan, day of the visit, last day."""
    named: dict[int, list[int]] = field(default_factory=dict)
    waiting: dict[int, int] = field(default_factory=dict)
    """Last day by fan, at the end."""
    plans: list[Plan] = field(default_factory=list)


@cache
def half_year(shift_minutes: int) -> HalfYear:
    """A technician for two days a week, a second with the rare skill every other week.

    The last site is far out and worth nearly nothing: a plan by cost alone never goes there.
    """
    rng = np.random.default_rng(4)
    places = np.vstack([[34, -118], rng.normal((34, -118), 0.1, (FANS - 1, 2)), [34.35, -118]])
    sites = tuple(Site(key, 1 + key, access_minutes=10) for key in range(FANS))
    fans = {key: first_fan(rng, key) for key in range(FANS)}
    year = HalfYear()
    for week in range(WEEKS):
        problem = one_week(week, sites, fans, Travel.over(places), shift_minutes)
        plan = plan_rounds(problem)
        year.plans.append(plan)
        for key in named_by(plan):
            year.named.setdefault(key, []).append(problem.days[0])
        for each in plan.rounds:
            for key in (key for s in each.stops for key in (*s.fans, *s.pulled_forward)):
                year.visits.append((key, each.day, fans[key].overdue_after_day))
                due = each.day + int(fans[key].interval_days)
                fans[key] = replace(fans[key], due_day=due, overdue_after_day=due + GRACE_DAYS)
    year.waiting = {key: fan.overdue_after_day for key, fan in fans.items()}
    return year


def named_by(plan: Plan) -> set[int]:
    """For whom a plan lacks time, or whom it cannot visit for another reason; a fan a site."""
    told = plan.overload
    other = (each for each in plan.left_out if each.required and each.reason is not Reason.FULL)
    return {*(told.sites + told.late if told else ()), *(key for e in other for key in e.fans)}


def first_fan(rng: np.random.Generator, key: int) -> DueFan:
    due = MONDAY + int(rng.integers(0, 45))
    interval = float(rng.choice([30, 45, 60]))
    prize = 0.1 if key == FANS - 1 else float(rng.gamma(2.0, 10.0))
    skill = "drives" if key % 9 == 4 else ""
    return DueFan(key, key, 30, due, due + GRACE_DAYS, prize, skill=skill, interval_days=interval)


def one_week(
    week: int, sites: tuple[Site, ...], fans: dict[int, DueFan], travel: Travel, minutes: int
) -> Problem:
    monday = MONDAY + 7 * week
    shifts = tuple(Shift(monday + day, 480, 480 + minutes, reserve_minutes=30) for day in (0, 2))
    people = [Technician(1, 0, 0, shifts)]
    # Who knows drives comes on Wednesday of every other week.
    again = monday + 2 + (14 if week % 2 else 7)
    known = (replace(fan, next_chance_day=again) if fan.skill else fan for fan in fans.values())
    if week % 2:
        people.append(Technician(2, 0, 0, shifts[1:], frozenset({"drives"})))
    return Problem(
        sites, tuple(known), tuple(people), tuple(range(monday, monday + 5)), travel,
        iterations=15, params=RoundsParams(soon_days=7),
    )  # fmt: skip


def too_late(year: HalfYear) -> list[tuple[int, int, int]]:
    """Visits after the last day, and what is past it at the end."""
    end = MONDAY + 7 * WEEKS
    waiting = [(key, end, last) for key, last in year.waiting.items() if last < end]
    return [each for each in (*year.visits, *waiting) if each[1] > each[2]]


def test_half_year_when_there_is_time_then_every_site_before_its_last_day() -> None:
    year = half_year(480)
    assert too_late(year) == []
    assert {key for key, _, _ in year.visits} == set(range(FANS))
    assert not any(plan.overload for plan in year.plans)


def test_half_year_when_time_is_short_then_whoever_waited_was_named_in_time() -> None:
    year = half_year(SHORT_MINUTES)
    late = too_late(year)
    assert late
    assert [
        (key, day, last)
        for key, day, last in late
        if not any(named <= last for named in year.named.get(key, []))
    ] == []


def test_half_year_when_time_is_short_then_nobody_waits_for_ever() -> None:
    year = half_year(SHORT_MINUTES)
    # 20 days if weeks past the last day did not count again (``Weights.of_task``)
    assert max(day - last for _, day, last in too_late(year)) <= 14
    assert {key for key, _, _ in year.visits} == set(range(FANS))
