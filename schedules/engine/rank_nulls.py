"""How often Kendall's s takes each value over all orders of a series, ties included, exactly."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from itertools import accumulate
from math import comb, prod

import numpy as np

from schedules.engine.series import Floats, Ints

EXACT_UP_TO = 60
"""Readings for which the permutation null is counted out; beyond, the normal law serves well."""

BOTH_TIED_STATES, INT64_ORDERS = 20_000, 20
"""With ties on both sides: states worth walking through, readings whose orders fit 64 bits."""


@lru_cache(maxsize=8192)
def falling_tail(ties: tuple[int, ...]) -> Floats:
    """Chance of at most 0, 1, 2, ... falling pairs where ``ties`` are the sizes of equal groups.

    Whole numbers are divided last, so that 1 in 20 is 0.05 and not a hair above it.
    """
    running = list(accumulate(_falling_counts(ties)))
    return np.array([ways / running[-1] for ways in running])


@lru_cache(maxsize=8192)
def _falling_counts(ties: tuple[int, ...]) -> tuple[int, ...]:
    """Orders of a multiset with 0, 1, 2, ... falling pairs: the Gaussian multinomial coefficient.

    It is the product of (1 - q^m), m to n, over the same product for each group; as series
    cut at its own degree both are sums of shifted whole numbers.
    """
    top = untied_pairs(ties)
    counts = [1] + [0] * top
    for m in range(1, sum(ties) + 1):
        for i in range(top, m - 1, -1):
            counts[i] -= counts[i - m]
    for m in (m for size in ties for m in range(1, size + 1)):
        for i in range(m, top + 1):
            counts[i] += counts[i - m]
    return tuple(counts)


def null_counts(x_ties: tuple[int, ...], y_ties: tuple[int, ...]) -> Mapping[int, int] | None:
    """Orders of y by the s they give; None where they are too many to count out."""
    if sum(x_ties) > EXACT_UP_TO:
        return None
    if max(x_ties, default=1) > 1 and max(y_ties, default=1) > 1:
        return _both_tied_counts(*sorted((x_ties, y_ties), key=_states))
    ties = tuple(sorted(max(x_ties, y_ties, key=lambda groups: max(groups, default=1))))
    top = untied_pairs(ties)
    return {top - 2 * falling: ways for falling, ways in enumerate(_falling_counts(ties))}


def _states(groups: tuple[int, ...]) -> int:
    return prod(size + 1 for size in groups)


@lru_cache(maxsize=256)
def _both_tied_counts(groups: tuple[int, ...], levels: tuple[int, ...]) -> Mapping[int, int] | None:
    """Orders by s with ties on both sides: levels are dealt out to the groups, lowest first.

    A state is how full each group is.  What is put into a group rises above all that lies in the
    groups before it and falls below all that lies in those after.
    """
    if _states(groups) > BOTH_TIED_STATES or sum(groups) > INT64_ORDERS:
        return None
    top = sum(groups) * (sum(groups) - 1) // 2
    start = np.zeros(2 * top + 1, np.int64)
    start[top] = 1
    states = {(0,) * len(groups): start}
    for size in levels:
        reached: dict[tuple[int, ...], Ints] = {}
        for filled, ways in states.items():
            rooms = tuple(room - held for room, held in zip(groups, filled, strict=True))
            gains = [sum(filled[:g]) - sum(filled[g + 1 :]) for g in range(len(groups))]
            for dealt in _deals(rooms, size):
                after = tuple(held + more for held, more in zip(filled, dealt, strict=True))
                gain = sum(each * more for each, more in zip(gains, dealt, strict=True))
                choices = prod(comb(room, more) for room, more in zip(rooms, dealt, strict=True))
                shifted = np.roll(ways, gain) * choices
                reached[after] = reached[after] + shifted if after in reached else shifted
        states = reached
    return {place - top: int(ways) for place, ways in enumerate(states[groups]) if ways}


def _deals(rooms: tuple[int, ...], size: int) -> Iterator[tuple[int, ...]]:
    """Every way to put ``size`` things into ``rooms``."""
    if len(rooms) == 1:
        if size <= rooms[0]:
            yield (size,)
        return
    for here in range(min(size, rooms[0]) + 1):
        for rest in _deals(rooms[1:], size - here):
            yield (here, *rest)


def untied_pairs(ties: tuple[int, ...]) -> int:
    """Pairs whose members lie in different groups."""
    return comb(sum(ties), 2) - sum(comb(size, 2) for size in ties)
