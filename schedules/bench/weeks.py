"""Invented weeks of rounds: towns of roofs with their hours, and technicians who go there."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np

from schedules.engine.rounds import (
    Blocker,
    DueFan,
    Problem,
    Shift,
    Site,
    Technician,
    Travel,
)
from schedules.engine.rounds.hours import Week

MONDAY = date(2026, 12, 7).toordinal()
CENTRE = (34.1, -118.1)
SPREAD_DEGREES = 0.12
TOWNS = 6
RARE_SKILL = "drives"
SOON_SHARE, BLOCKED_SHARE = 0.5, 0.03

DAY: Week = (((480, 1020),),) * 7
SPLIT: Week = (((420, 660), (840, 1020)),) * 7
SHORT_FRIDAY: Week = (*((((480, 960),),) * 4), ((480, 720),), (), ())
NOT_MONDAY: Week = ((), *((((420, 1080),),) * 6))
MORNING: Week = (((360, 690),),) * 7
HOURS = (DAY, SPLIT, SHORT_FRIDAY, NOT_MONDAY, MORNING)
BEFORE_LUNCH: Week = (((360, 660),),) * 7


def invented_week(
    *,
    fans: int = 200,
    sites: int = 90,
    technicians: int = 4,
    seed: int = 1,
    overtime_minutes: int = 0,
) -> Problem:
    """A week from Monday to Friday: ``fans`` are due, and half as many again soon.

    Every second technician has the rare skill, two bases serve alternately.  Give the problem
    iterations or seconds by ``dataclasses.replace``.
    """
    rng = np.random.default_rng(seed)
    places = _places(rng, sites)
    roofs = tuple(_site(rng, number) for number in range(sites))
    due = tuple(
        _fan(rng, number, int(rng.integers(sites)), now=number < fans)
        for number in range(fans + round(fans * SOON_SHARE))
    )
    people = tuple(_technician(number, overtime_minutes) for number in range(technicians))
    days = tuple(range(MONDAY, MONDAY + 5))
    return Problem(roofs, due, people, days, Travel.over(places), seed=seed, iterations=0)


def searched(
    problem: Problem, *, iterations: int | None = None, seconds: float | None = None
) -> Problem:
    """The same week with another bound on the search."""
    return replace(problem, iterations=iterations, seconds=seconds)


def _places(
    rng: np.random.Generator, sites: int
) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """Two bases, then sites around some towns."""
    towns = rng.normal(CENTRE, SPREAD_DEGREES, (TOWNS, 2))
    around = towns[rng.integers(TOWNS, size=sites)] + rng.normal(0, SPREAD_DEGREES / 4, (sites, 2))
    return np.vstack([towns[:2], around])


def _site(rng: np.random.Generator, number: int) -> Site:
    return Site(
        key=number,
        node=2 + number,
        access_minutes=int(rng.integers(5, 20)),
        access_hours=HOURS[int(rng.integers(len(HOURS)))],
        stop_hours=BEFORE_LUNCH if rng.random() < 0.3 else None,
        closed_days=frozenset({MONDAY + 2}) if rng.random() < 0.05 else frozenset(),
    )


def _fan(rng: np.random.Generator, number: int, site: int, *, now: bool) -> DueFan:
    due = MONDAY + int(rng.integers(-21, 7) if now else rng.integers(7, 40))
    rare, blocked, stopped = rng.random(3)
    return DueFan(
        key=number,
        site=site,
        minutes=int(rng.integers(15, 40)),
        due_day=due,
        overdue_after_day=due + 14,
        prize=round(float(rng.gamma(2.0, 15.0)), 2),
        skill=RARE_SKILL if rare < 0.15 else "",
        stopped=stopped < 0.2,
        blockers=(Blocker("parts", due + 10),) if blocked < BLOCKED_SHARE else (),
    )


def _technician(number: int, overtime_minutes: int) -> Technician:
    shifts = tuple(
        Shift(day, 420, 960, overtime_minutes=overtime_minutes, reserve_minutes=60)
        for day in range(MONDAY, MONDAY + 5)
    )
    skills = frozenset({RARE_SKILL} if number % 2 else ())
    return Technician(number, number % 2, number % 2, shifts, skills)
