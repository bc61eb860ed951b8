"""How often Kendall's s takes each value over all orders of a series, ties included, exactly."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from itertools import accumulate
from math import comb, factorial, prod

import numpy as np

from schedules.engine.series import Floats

EXACT_UP_TO = 60
"""Readings for which the permutation null is counted out; beyond, the normal law serves well."""

BOTH_TIED_STATES, INT64_ORDERS, PLACE_BITS = 20_000, 20, 64
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

    It is the product of (q^m - 1), m to n, over the same product for each group.  No count exceeds
    n!, so that at q = 256^width each takes ``width`` bytes of one whole number.
    """
    width, whole = factorial(sum(ties)).bit_length() // 8 + 1, _q_factorial
    told = whole(sum(ties), width) // prod(whole(size, width) for size in ties)
    count = untied_pairs(ties) + 1
    packed = told.to_bytes(count * width, "little")
    return tuple(
        int.from_bytes(packed[at : at + width], "little") for at in range(0, count * width, width)
    )


def _q_factorial(size: int, width: int) -> int:
    """The product of (q^m - 1) for m to ``size``, at q = 256^width."""
    return prod((1 << 8 * width * m) - 1 for m in range(1, size + 1))


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

    A state is how full each group is.  Its orders by s are one long number with a place of 64 bits
    for each s: dealing on shifts it by what is gained.
    """
    if _states(groups) > BOTH_TIED_STATES or sum(groups) > INT64_ORDERS:
        return None
    top = sum(groups) * (sum(groups) - 1) // 2
    states = {(0,) * len(groups): 1 << PLACE_BITS * top}
    for size in levels:
        states = _dealt(states, groups, size)
    told = states[groups].to_bytes((2 * top + 1) * PLACE_BITS // 8, "little")
    return {at - top: ways for at, ways in enumerate(np.frombuffer(told, "<i8").tolist()) if ways}


def _dealt(
    states: Mapping[tuple[int, ...], int], groups: tuple[int, ...], size: int
) -> dict[tuple[int, ...], int]:
    """The states after one more level of ``size`` equal readings, dealt out group by group.

    What is put into a group rises above all that lay in the groups before it and falls below all
    that lies in those after.
    """
    dealing = {(filled, size): ways for filled, ways in states.items()}
    for at, whole in enumerate(groups):
        behind = sum(groups[at + 1 :])
        reached: dict[tuple[tuple[int, ...], int], int] = {}
        for (filled, left), ways in dealing.items():
            before, after = sum(filled[:at]) - (size - left), sum(filled[at + 1 :])
            room = whole - filled[at]
            for more in range(max(0, left - (behind - after)), min(left, room) + 1):
                gain = (before - after) * more * PLACE_BITS
                shifted = ways << gain if gain >= 0 else ways >> -gain
                now = (*filled[:at], filled[at] + more, *filled[at + 1 :]), left - more
                reached[now] = reached.get(now, 0) + shifted * comb(room, more)
        dealing = reached
    return {filled: ways for (filled, _), ways in dealing.items()}


def untied_pairs(ties: tuple[int, ...]) -> int:
    """Pairs whose members lie in different groups."""
    return comb(sum(ties), 2) - sum(comb(size, 2) for size in ties)
