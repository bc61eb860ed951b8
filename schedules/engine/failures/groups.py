"""Failures of groups of fans, a model's or a site's, held against all fans outside the group.

What a fan is built like differs from group to group, so time under watch is weighed by how often
the item fails in each class: a site of belt drives is not told of for losing belts.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import gammaincinv, ndtr

from schedules.engine.errors import SeriesError
from schedules.engine.failures.discovery import false_discovery
from schedules.engine.failures.rates import chance_of_as_many, compare_rates
from schedules.engine.failures.recurring import DEFAULT_RECURRING, FEWEST, RecurringParams
from schedules.engine.series import Flags, Floats, Ints

NOBODYS = -1
"""The group of fans that are in none: they count among the others."""
FEWEST_POSITIONS = 2
"""A group stands out only where so many positions of it failed: one alone is its own pattern."""
ALONE = 1e-9
"""Where a smaller share of a class's time is left to others, there are none."""


@dataclass(frozen=True)
class GroupLosses:
    """Losses of function, each shape (losses,): group from 0 or NOBODYS, the rest from 0.

    share : how far into the time its fan was watched it failed, in (0, 1]
    """

    group: Ints
    item: Ints
    fan_class: Ints
    fan: Ints
    share: Floats


@dataclass(frozen=True)
class Spells:
    """Stretches of time under watch [years], each shape (spells,); several of one group add up."""

    group: Ints
    fan_class: Ints
    years: Floats


@dataclass(frozen=True)
class Grouped:
    """Groups and items with two failures or more, ordered by both: shape (pairs,).

    positions : fans that failed so; years : time the group was watched, in all
    compared : failures in classes of which there are fans outside the group
    others, others_years : failures of these, and the time they were watched, weighed like the
        group's; 0 where there are none
    ratio, lower, upper : this rate over theirs, limits of 95 % for this pair alone
    chance, discovery : as of ``Recurring``; stands_out : at most ``false_share`` of it, and on two
        positions or more
    """

    group: Ints
    item: Ints
    failures: Ints
    positions: Ints
    years: Floats
    compared: Ints
    others: Ints
    others_years: Floats
    ratio: Floats
    lower: Floats
    upper: Floats
    chance: Floats
    discovery: Floats
    stands_out: Flags


def held_against_others(
    losses: GroupLosses, spells: Spells, params: RecurringParams = DEFAULT_RECURRING
) -> Grouped:
    """Hold each group's failures of each item against those of fans of its classes outside it.

    Time is weighed by the rate of its class over the whole fleet (indirect standardisation: Breslow
    and Day (1987), Statistical Methods in Cancer Research II, chapter 2); given the sum, failures
    inside are then binomial, which is tested exactly (``compare_rates``).  For a group of one class
    that is the plain comparison of two rates, and exact; with several it takes the ratio of their
    rates as known.  Tested are all groups with all items that failed in
    a class of theirs; Benjamini and Hochberg's adjustment is over all of these.  Raises SeriesError
    for a loss in a class that nobody watched.
    """
    watched = _watched(losses, spells)
    pairs = _Pairs.of(losses, watched)
    at = pairs.group, pairs.item
    others = (watched.shared @ watched.failed)[at] - pairs.compared
    alone = watched.here[at] <= 0
    here = np.where(alone, 1.0, watched.here[at])
    there = np.where(alone, 1.0, watched.there[at])
    chance = np.where(alone, 1.0, chance_of_as_many(pairs.compared, here, others, there))
    discovery = false_discovery(chance, len(pairs.group) + _untouched(watched.here, at))
    kept = np.flatnonzero(pairs.failures >= FEWEST)
    limits = compare_rates(pairs.compared[kept], here[kept], others[kept], there[kept])
    like_years = watched.shared_years.sum(axis=1)[pairs.group] * there / here
    return Grouped(
        group=pairs.group[kept],
        item=pairs.item[kept],
        failures=pairs.failures[kept],
        positions=pairs.positions[kept],
        years=watched.years.sum(axis=1)[pairs.group[kept]],
        compared=pairs.compared[kept],
        others=others[kept].astype(np.int64),
        others_years=np.where(alone, 0.0, like_years)[kept],
        ratio=np.where(alone[kept], np.nan, limits.ratio),
        lower=np.where(alone[kept], 0.0, limits.lower),
        upper=np.where(alone[kept], np.inf, limits.upper),
        chance=chance[kept],
        discovery=discovery[kept],
        stands_out=(discovery[kept] <= params.false_share)
        & (pairs.positions[kept] >= FEWEST_POSITIONS),
    )


@dataclass(frozen=True)
class _Watched:
    """Time of each group in each class, and the failures that the classes' rates let expect in it.

    failed : of each item in each class, shape (classes, items)
    years, shared : shape (groups, classes); ``shared`` where enough of the class stands outside the
        group to compare with
    here, there : failures expected in shared classes inside and outside the group, shape
        (groups, items)
    """

    failed: Floats
    years: Floats
    shared: Flags
    here: Floats
    there: Floats

    @property
    def shared_years(self) -> Floats:
        """Time in shared classes alone, shape (groups, classes)."""
        return np.where(self.shared, self.years, 0.0)


def _watched(losses: GroupLosses, spells: Spells) -> _Watched:
    groups = 1 + int(max(losses.group.max(initial=-1), spells.group.max(initial=-1)))
    classes = 1 + int(max(losses.fan_class.max(initial=-1), spells.fan_class.max(initial=-1)))
    items = 1 + int(losses.item.max(initial=-1))
    failed = _table(losses.fan_class, losses.item, None, (classes, items))
    class_years = np.bincount(spells.fan_class, spells.years, classes)
    if bool(np.any(failed.sum(axis=1)[class_years <= 0] > 0)):
        raise SeriesError("a class failed that nobody watched; give each loss the class of a spell")
    rate = failed / np.where(class_years > 0, class_years, 1.0)[:, None]
    inside = spells.group >= 0
    years = _table(
        spells.group[inside], spells.fan_class[inside], spells.years[inside], (groups, classes)
    )
    shared = (years > 0) & (class_years - years > ALONE * class_years)
    here = np.where(shared, years, 0.0) @ rate
    there = np.where(shared, class_years - years, 0.0) @ rate
    return _Watched(failed, years, shared, here, there)


def _untouched(expected: Floats, at: tuple[Ints, Ints]) -> int:
    """Groups and items tested of which nothing failed."""
    return int(np.count_nonzero(expected) - np.count_nonzero(expected[at]))


def _table(row: Ints, column: Ints, weight: Floats | None, shape: tuple[int, int]) -> Floats:
    flat = np.bincount(row * shape[1] + column, weight, minlength=shape[0] * shape[1])
    return np.asarray(flat, np.float64).reshape(shape)


@dataclass(frozen=True)
class _Pairs:
    """One entry for each group and item that failed."""

    group: Ints
    item: Ints
    failures: Ints
    compared: Ints
    positions: Ints

    @staticmethod
    def of(losses: GroupLosses, watched: _Watched) -> _Pairs:
        """The pairs of all groups; losses of fans in no group count for none."""
        inside, items = losses.group >= 0, max(watched.failed.shape[1], 1)
        key = losses.group[inside] * items + losses.item[inside]
        found, at = np.unique(key, return_inverse=True)
        fan = losses.fan[inside]
        fans = 1 + int(fan.max(initial=0))
        once = np.unique(at * fans + fan) // fans
        failures = np.bincount(at, minlength=len(found))
        in_shared = watched.shared[losses.group[inside], losses.fan_class[inside]]
        compared = np.bincount(at, in_shared, len(found)).astype(np.int64)
        positions = np.bincount(once, minlength=len(found))
        return _Pairs(found // items, found % items, failures, compared, positions)


@dataclass(frozen=True)
class Courses:
    """Whether failures of a group come ever faster, from how far each fan's had come: one a pair.

    shape, shape_lower, shape_upper : of a power law, 95 %, above 1 they come ever faster; NaN of
        fewer than two; p : Laplace's, two-sided
    """

    failures: Ints
    shape: Floats
    shape_lower: Floats
    shape_upper: Floats
    p: Floats


def courses(pair: Ints, share: Floats, pairs: int) -> Courses:
    """The course of each pair's failures, whatever the rates of its fans.

    pair : which of the ``pairs`` each loss is of, from 0; share : as of ``GroupLosses``

    Given how often each fan failed, its failures of a power law lie in the time watched as powers
    of uniform numbers, whatever its rate; so minus the sum of their logarithms is gamma over the
    shape all fans have in common, and the middle of all is Laplace's.  Sources: Crow (1974),
    Reliability analysis for complex repairable systems (several systems, time truncated); Ascher
    and Feingold (1984), Repairable Systems Reliability (combined test of Laplace).  For one fan
    they are ``power_law`` and ``laplace``.
    """
    count = np.bincount(pair, minlength=pairs)
    with np.errstate(divide="ignore", invalid="ignore"):
        logs = np.bincount(pair, -np.log(share), pairs)
        logs = np.where((count < FEWEST) | (logs == 0), np.nan, logs)
        middle = np.bincount(pair, share - 0.5, pairs) / np.sqrt(count / 12)
        return Courses(
            failures=count,
            shape=(count - 1) / logs,
            shape_lower=gammaincinv(np.maximum(count, 1), 0.025) / logs,
            shape_upper=gammaincinv(np.maximum(count, 1), 0.975) / logs,
            p=2 * ndtr(-np.abs(middle)),
        )
