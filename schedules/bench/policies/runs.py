"""One policy over one simulated fleet: how often somebody goes, and what fails nevertheless."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import partial

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
MULTIPLIERS = (0.5, 0.75, 1.0, 1.5, 2.0)


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


def policies(
    settings: Mapping[str, float] = NO_CHANGES,
) -> dict[str, Callable[[Assumptions, Luck], Tally]]:
    """Every policy by name, the engine's with `settings` of its own."""
    named: dict[str, Callable[[Assumptions, Luck], Tally]] = {"none": no_visits}
    for every in FIXED_WEEKS:
        named[f"fixed {every}"] = partial(fixed_rounds, every_weeks=every)
    for times in MULTIPLIERS:
        named[f"engine x{times:g}"] = partial(by_engine, multiplier=times, settings=settings)
    named["perfect"] = perfect_knowledge
    return named


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
    a: Assumptions, luck: Luck, multiplier: float, settings: Mapping[str, float] = NO_CHANGES
) -> Tally:
    """Whoever is due by the real engine is visited in that week."""
    world, tally = weeks.World.begins(a, luck), Tally(*luck.shape)
    books = Books(world)
    dates = Dates(books, tally.fans, stretched(multiplier, settings))
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
        slips.see(seen)
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
