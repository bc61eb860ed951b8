"""Positions at which the same item fails again and again, held against all others of their class.

A failure is a loss of function: a finding is none, so that more looking is not more failing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from schedules.engine.errors import SeriesError
from schedules.engine.failures.discovery import false_discovery
from schedules.engine.failures.rates import chance_of_as_many, compare_rates
from schedules.engine.months import add_months
from schedules.engine.series import Flags, Floats, Ints, as_days, as_floats
from schedules.engine.settable import Group, number

FEWEST = 2
DESIGN = "the same again within this time stands out by itself"


@dataclass(frozen=True)
class RecurringParams(Group):
    """When failures of one item at one position are more than chance."""

    false_share: float = number(0.1, "", (0.001, 0.5), "of patterns believed, by rate")
    again_months: int = number(12, "months", (1, 60), DESIGN)


DEFAULT_RECURRING = RecurringParams()


@dataclass(frozen=True)
class Losses:
    """Losses of function, call-backs left out: each shape (losses,), in any order.

    fan : which of the fans watched, from 0; item : a number for each item, from 0; day : [ordinal]
    Several on one day of one item are one failure.
    """

    fan: Ints
    item: Ints
    day: Ints


@dataclass(frozen=True)
class Recurring:
    """Pairs of position and item with two failures or more, ordered by both: shape (pairs,).

    fan, item : as in ``Losses``; failures : so many; first_day, last_day : [ordinal]
    closest_days : the shortest time between two in a row [d]
    again_soon : two in a row within ``again_months``
    years, others, others_years : time watched [years]; the failures of that item, and the time
        watched, of all other fans of the class
    ratio, lower, upper : this rate over theirs, limits of 95 % for this pair alone
    chance : of so many or more of all failures here were the rates one
    discovery : ``chance`` adjusted for all positions and items tested
    holds_by_rate : ``discovery`` at most ``false_share``
    """

    fan: Ints
    item: Ints
    failures: Ints
    first_day: Ints
    last_day: Ints
    closest_days: Ints
    again_soon: Flags
    years: Floats
    others: Ints
    others_years: Floats
    ratio: Floats
    lower: Floats
    upper: Floats
    chance: Floats
    discovery: Floats
    holds_by_rate: Flags


def recurring(
    losses: Losses,
    years: ArrayLike,
    fan_class: ArrayLike,
    params: RecurringParams = DEFAULT_RECURRING,
) -> Recurring:
    """Hold every position's failures of each item against those of its class.

    years : shape (fans,), time each was watched, above 0; fan_class : shape (fans,), whole numbers

    Each pair is tested exactly, given how often the item failed in the class (``compare_rates``),
    against the fans other than this one.  Tested are all fans with all items that failed anywhere
    in their class, those without a failure too, and Benjamini and Hochberg's adjustment is over all
    of these.  Raises SeriesError for losses of no fan and for times not above 0.
    """
    watched, kind = as_floats("years", years), as_days("fan_class", fan_class)
    pairs = _Pairs.of(losses, watched)
    items = int(pairs.item.max(initial=-1)) + 1
    group = kind[pairs.fan] * items + pairs.item
    failed = np.bincount(group, pairs.failures, minlength=0).astype(np.int64)
    class_years, class_fans = np.bincount(kind, watched), np.bincount(kind)
    others = failed[group] - pairs.failures
    others_years = class_years[kind[pairs.fan]] - watched[pairs.fan]
    alone = class_fans[kind[pairs.fan]] == 1
    against = (pairs.failures, watched[pairs.fan], others, np.where(alone, 1.0, others_years))
    chance = np.where(alone, 1.0, chance_of_as_many(*against))
    tests = int(class_fans[np.flatnonzero(failed) // max(items, 1)].sum())
    discovery = false_discovery(chance, tests)
    kept = np.flatnonzero(pairs.failures >= FEWEST)
    limits = compare_rates(against[0][kept], against[1][kept], against[2][kept], against[3][kept])
    closest_days, again_soon = pairs.gaps(kept, params.again_months)
    return Recurring(
        fan=pairs.fan[kept],
        item=pairs.item[kept],
        failures=pairs.failures[kept],
        first_day=pairs.first_day[kept],
        last_day=pairs.last_day[kept],
        closest_days=closest_days,
        again_soon=again_soon,
        years=watched[pairs.fan[kept]],
        others=others[kept],
        others_years=np.where(alone, 0.0, others_years)[kept],
        ratio=np.where(alone[kept], np.nan, limits.ratio),
        lower=np.where(alone[kept], 0.0, limits.lower),
        upper=np.where(alone[kept], np.inf, limits.upper),
        chance=chance[kept],
        discovery=discovery[kept],
        holds_by_rate=discovery[kept] <= params.false_share,
    )


@dataclass(frozen=True)
class _Pairs:
    """One entry for each position and item that failed; ``day`` has all its days in a row."""

    fan: Ints
    item: Ints
    failures: Ints
    day: Ints
    start: Ints

    @staticmethod
    def of(losses: Losses, watched: Floats) -> _Pairs:
        """The pairs of all losses; of one day one counts.

        Raises SeriesError for losses of no fan.
        """
        fan, item, day = (as_days(n, getattr(losses, n)) for n in ("fan", "item", "day"))
        if not fan.shape == item.shape == day.shape:
            raise SeriesError("losses need a fan, an item and a day each")
        if bool(np.any((fan < 0) | (fan >= len(watched)) | (item < 0))):
            raise SeriesError(f"fans are numbered from 0 to {len(watched) - 1}, items from 0")
        order = np.lexsort((day, item, fan))
        fan, item, day = fan[order], item[order], day[order]
        other = _differs(fan) | _differs(item)
        single = other | _differs(day)
        start = np.flatnonzero(other[single])
        days = day[single]
        count = np.diff(start, append=len(days))
        return _Pairs(fan[single][start], item[single][start], count, days, start)

    @property
    def first_day(self) -> Ints:
        """The first failure of each pair, shape (pairs,)."""
        return np.asarray(self.day[self.start])

    @property
    def last_day(self) -> Ints:
        """The last failure of each pair, shape (pairs,)."""
        return np.asarray(self.day[self.start + self.failures - 1])

    def gaps(self, kept: Ints, months: int) -> tuple[Ints, Flags]:
        """The shortest time between two in a row [d], and whether one is within the months."""
        if not len(kept):
            return np.empty(0, np.int64), np.empty(0, np.bool_)
        gap = np.diff(self.day, append=0)
        soon = np.append(self.day[1:] <= add_months(self.day[:-1], months), False)
        last = np.zeros(len(self.day), np.bool_)
        last[self.start + self.failures - 1] = True
        gap[last], soon[last] = np.iinfo(np.int64).max, False
        closest = np.minimum.reduceat(gap, self.start)[kept]
        return np.asarray(closest), np.logical_or.reduceat(soon, self.start)[kept]


def _differs(values: Ints) -> Flags:
    """Whether each differs from the one before it; the first does."""
    changed: Flags = np.append(np.ones(min(len(values), 1), np.bool_), values[1:] != values[:-1])
    return changed
