"""One policy over one simulated fleet: how often somebody goes, and what fails nevertheless."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from schedules.bench.policies.books import FIRST_DAY, VISITED, Books
from schedules.bench.policies.dates import NO_CHANGES, Dates, stretched
from schedules.bench.policies.slips import Slips
from schedules.bench.world import visiting, weeks
from schedules.bench.world.assumptions import Assumptions
from schedules.bench.world.luck import MODES, Luck
from schedules.engine.record import RULES

FIXED_WEEKS = (4, 8, 13, 26)
USEFUL = ("balance", "bearing", "belt", "cable", "switch", "supply")
DATED = ("engine", "late")
"""By the engine's dates: when due, or in the last week before overdue."""
MULTIPLIERS = (0.5, 0.75, 1.0, 1.5, 2.0)
NAMES = (
    "none",
    *(f"fixed {every}" for every in FIXED_WEEKS),
    *(f"engine x{times:g}" for times in MULTIPLIERS),
    "perfect",
)


@dataclass
class Tally:
    """What came of a policy; rates are per fan and year."""

    fans: int
    weeks: int
    visits: int = 0
    failures: NDArray[np.int64] = field(default_factory=lambda: np.zeros(len(MODES), np.int64))
    by_rule: NDArray[np.int64] = field(default_factory=lambda: np.zeros(len(RULES), np.int64))
    useful_by_rule: NDArray[np.int64] = field(
        default_factory=lambda: np.zeros(len(RULES), np.int64)
    )
    slips: NDArray[np.int64] | None = None

    @property
    def fan_years(self) -> float:
        return self.fans * self.weeks / weeks.YEAR_WEEKS

    @property
    def visits_per_fan_year(self) -> float:
        return self.visits / self.fan_years

    @property
    def failures_per_fan_year(self) -> float:
        return float(self.failures.sum()) / self.fan_years


def run_policy(
    name: str, a: Assumptions, luck: Luck, settings: Mapping[str, float] = NO_CHANGES
) -> Tally:
    """One policy by its name as in `NAMES`, of any weeks and multiplier; `late x1` as `Dates` has.

    Raises ValueError for a name that is none.
    """
    kind, _, number = name.partition(" ")
    if name == "none":
        return no_visits(a, luck)
    if name == "perfect":
        return perfect_knowledge(a, luck)
    if kind == "fixed" and number.isdecimal() and int(number):
        return fixed_rounds(a, luck, int(number))
    if kind in DATED and re.fullmatch(r"x\d+(\.\d+)?", number) and float(number[1:]):
        return by_engine(a, luck, float(number[1:]), settings, late=kind == "late")
    raise ValueError(
        f"{name!r} is no policy; give none, perfect, 'fixed WEEKS', 'engine xTIMES' or "
        "'late xTIMES'"
    )


def no_visits(a: Assumptions, luck: Luck) -> Tally:
    """Nobody goes; what fails is repaired on a call."""
    return fixed_rounds(a, luck, 0)


def fixed_rounds(a: Assumptions, luck: Luck, every_weeks: int) -> Tally:
    """Each fan every so many weeks (0: never), the fleet spread evenly over them."""
    world, tally = weeks.World.begins(a, luck), Tally(*luck.shape)
    turn = np.arange(tally.fans)
    for week in range(tally.weeks):
        weeks.happen(world, week)
        if every_weeks:
            fans = np.flatnonzero((week - turn) % every_weeks == 0)
            visiting.mend(world, week, visiting.look(world, week, fans))
            tally.visits += len(fans)
        weeks.wear(world)
        _fail(world, week, tally)
    return tally


def perfect_knowledge(a: Assumptions, luck: Luck) -> Tally:
    """Whoever would fail this week, and need not, is visited just before."""
    world, tally = weeks.World.begins(a, luck), Tally(*luck.shape)
    for week in range(tally.weeks):
        weeks.happen(world, week)
        weeks.wear(world)
        visited, failed = visiting.mend_what_would_fail(world, week)
        visiting.call(world, week, failed)
        tally.visits += int(visited.sum())
        tally.failures += failed.sum(axis=0)
    return tally


def by_engine(
    a: Assumptions,
    luck: Luck,
    multiplier: float,
    settings: Mapping[str, float] = NO_CHANGES,
    *,
    late: bool = False,
) -> Tally:
    """Whoever is due by the real engine is visited in that week, or `late` as `Dates` has it."""
    world, tally = weeks.World.begins(a, luck), Tally(*luck.shape)
    books = Books(world)
    dates = Dates(books, tally.fans, stretched(multiplier, settings), late=late)
    slips, news = Slips(tally.fans), set[int]()
    for week in range(tally.weeks):
        news |= set(books.tell_events(week, weeks.happen(world, week)).tolist())
        dates.news(sorted(news))
        due = (dates.due_day > 0) & (dates.due_day <= FIRST_DAY + 7 * week + VISITED)
        fans = np.flatnonzero(due)
        seen = visiting.look(world, week, fans)
        written = visiting.written(world, week, seen)
        mended = visiting.mend(world, week, seen)
        books.tell_visits(week, written, mended)
        slips.see(seen, mended)
        tally.visits += len(fans)
        useful = np.any([mended.done[what] for what in USEFUL], axis=0)
        tally.by_rule += np.bincount(dates.rule[fans], minlength=len(RULES))
        tally.useful_by_rule += np.bincount(dates.rule[fans[useful]], minlength=len(RULES))
        weeks.wear(world)
        failed, called = _fail(world, week, tally)
        slips.fail(failed)
        books.tell_calls(week, failed, called)
        news = {*fans.tolist(), *called.tolist()}
    tally.slips = slips.counts
    return tally


def _fail(
    world: weeks.World, week: int, tally: Tally
) -> tuple[NDArray[np.bool_], NDArray[np.int64]]:
    failed = weeks.failing(world, week)
    tally.failures += failed.sum(axis=0)
    return failed, visiting.call(world, week, failed)
