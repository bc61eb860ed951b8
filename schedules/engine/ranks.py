"""Kendall's rank test for a trend in time: exact, ties included, for one series or for many."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate
from math import comb, nan, prod

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtr

from schedules.engine.errors import SeriesError
from schedules.engine.series import BLOCK, Floats, Ints, as_floats, paired

EXACT_UP_TO = 60
"""Readings for which the permutation null is counted out; beyond, the normal law serves well."""

BATCH_WIDTH = 24
"""Columns up to which a row's tie pattern fits one integer."""

BOTH_TIED_STATES, INT64_ORDERS = 20_000, 20
"""With ties on both sides: states worth walking through, readings whose orders fit 64 bits."""

Singles = NDArray[np.float32]


@dataclass(frozen=True)
class MannKendall:
    """The test of one series.

    s : pairs that rise less pairs that fall; pairs alike in x or y count for neither
    var_s : its variance under the null, ties counted
    z : s less 1 towards 0, over its standard deviation; p_two_sided_normal goes with it
    p_increasing, p_decreasing : chance under the null of an s at least as large, as small
    p_two_sided : chance of one at least as far from 0
    tau : Kendall's tau-b
    method : "exact" where all orders of y were counted out, else "normal": the three p are then the
        normal law's
    """

    s: int
    var_s: float
    z: float
    p_two_sided_normal: float
    p_increasing: float
    p_decreasing: float
    p_two_sided: float
    tau: float
    method: str


def mann_kendall(x: ArrayLike, y: ArrayLike) -> MannKendall:
    """Test whether y rises or falls with x, every order of y being equally likely under the null.

    x, y : float, shape (K,), in any order; pairs with a NaN are left out

    Exact for up to ``EXACT_UP_TO`` readings; if both x and y have ties, only while few enough
    intermediate states arise (always for up to 12 readings).  With fewer than two distinct x or y
    there is no trend to see: every p is 1, tau NaN.
    Sources: Mann (1945), Kendall (1975); inversions of a multiset follow the Gaussian multinomial
    coefficient.  Raises SeriesError for shapes that differ, infinities or more than one axis.
    """
    xs, ys = paired(x, y)
    if xs.ndim != 1:
        raise SeriesError(f"x has {xs.ndim} axes; mann_kendall takes one series at a time")
    present = ~np.isnan(xs)
    xs, ys = xs[present], ys[present]
    s = _sign_sum(xs, ys)
    x_ties, y_ties = _group_sizes(xs), _group_sizes(ys)
    var_s = _variance(x_ties, y_ties)
    z = (s - np.sign(s)) / var_s**0.5 if var_s > 0 else 0.0
    counts = _null_counts(x_ties, y_ties)
    p_values = _normal_p(s, var_s) if counts is None else _exact_p(s, counts)
    return MannKendall(
        s, var_s, float(z), float(2 * ndtr(-abs(z))), *p_values,
        tau=s / _untied(x_ties) ** 0.5 / _untied(y_ties) ** 0.5 if var_s > 0 else nan,
        method="normal" if counts is None else "exact",
    )  # fmt: skip


def increasing_p(values: ArrayLike) -> Floats:
    """Exact one-sided p that each row rises along its columns, as ``mann_kendall`` on their order.

    values : float, shape (N, K), columns in time order, NaN left out wherever it stands
    returns float64, shape (N,); 1 for rows with nothing to compare
    """
    rows = as_floats("values", values)
    if rows.ndim != 2:
        raise SeriesError(
            f"values has {rows.ndim} axes; give rows of series, columns in time order"
        )
    if rows.shape[1] > BATCH_WIDTH:
        order = np.arange(rows.shape[1])
        return np.array([mann_kendall(order, row).p_increasing for row in rows])
    blocks = [_block_p(rows[begin : begin + BLOCK]) for begin in range(0, len(rows), BLOCK)]
    return np.concatenate(blocks) if blocks else np.zeros(0)


def _block_p(rows: Floats) -> Floats:
    first, second, touches, follows = _pair_columns(rows.shape[1])
    earlier, later = rows[:, first], rows[:, second]
    falling = np.count_nonzero(later < earlier, axis=1)
    alike = (later == earlier).astype(np.float32)
    begins_group = ~np.isnan(rows) & (alike @ follows == 0)
    size = (alike @ touches).astype(np.int64) + 1
    pattern = np.where(begins_group, _pattern_weights(rows.shape[1])[size], 0).sum(axis=1)
    _, one_row, of_row = np.unique(pattern, return_index=True, return_inverse=True)
    tables = [_falling_tail(_group_sizes(rows[row])) for row in one_row]
    starts = np.cumsum([0, *(len(table) for table in tables[:-1])])
    return np.asarray(np.concatenate(tables)[starts[of_row] + falling])


@lru_cache(maxsize=64)
def _pair_columns(width: int) -> tuple[Ints, Ints, Singles, Singles]:
    """Columns of every pair, which columns a pair touches, and which is its later one."""
    first, second = np.triu_indices(width, 1)
    follows = np.zeros((len(first), width), np.float32)
    follows[np.arange(len(first)), second] = 1
    touches = follows.copy()
    touches[np.arange(len(first)), first] = 1
    return first, second, touches, follows


@lru_cache(maxsize=64)
def _pattern_weights(width: int) -> Ints:
    """Weight of a group of ties by its size, so that sums tell any two patterns apart."""
    room = [width // size + 1 for size in range(1, width + 1)]
    return np.array([0, *(prod(room[:place]) for place in range(width))], np.int64)


@lru_cache(maxsize=8192)
def _falling_tail(ties: tuple[int, ...]) -> Floats:
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
    top = _untied(ties)
    counts = [1] + [0] * top
    for m in range(1, sum(ties) + 1):
        for i in range(top, m - 1, -1):
            counts[i] -= counts[i - m]
    for m in (m for size in ties for m in range(1, size + 1)):
        for i in range(m, top + 1):
            counts[i] += counts[i - m]
    return tuple(counts)


def _null_counts(x_ties: tuple[int, ...], y_ties: tuple[int, ...]) -> Mapping[int, int] | None:
    """Orders of y by the s they give; None where they are too many to count out."""
    if sum(x_ties) > EXACT_UP_TO:
        return None
    if max(x_ties, default=1) > 1 and max(y_ties, default=1) > 1:
        return _both_tied_counts(*sorted((x_ties, y_ties), key=_states))
    ties = tuple(sorted(max(x_ties, y_ties, key=lambda groups: max(groups, default=1))))
    top = _untied(ties)
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


def _exact_p(s: int, counts: Mapping[int, int]) -> tuple[float, float, float]:
    total = sum(counts.values())
    at_least = sum(ways for value, ways in counts.items() if value >= s)
    at_most = sum(ways for value, ways in counts.items() if value <= s)
    as_far = sum(ways for value, ways in counts.items() if abs(value) >= abs(s))
    return at_least / total, at_most / total, as_far / total


def _normal_p(s: int, var_s: float) -> tuple[float, float, float]:
    if var_s <= 0:
        return 1.0, 1.0, 1.0
    above, below = (s - 1) / var_s**0.5, (s + 1) / var_s**0.5
    return (
        float(ndtr(-above)),
        float(ndtr(below)),
        float(min(1, 2 * min(ndtr(-above), ndtr(below)))),
    )


def _sign_sum(xs: Floats, ys: Floats) -> int:
    first, second = np.triu_indices(len(xs), 1)
    return int((np.sign(xs[second] - xs[first]) * np.sign(ys[second] - ys[first])).sum())


def _group_sizes(values: Floats) -> tuple[int, ...]:
    """Sizes of the groups of equal values, by ascending value, NaN left out."""
    present = values[~np.isnan(values)]
    return tuple(int(size) for size in np.unique(present, return_counts=True)[1])


def _untied(ties: tuple[int, ...]) -> int:
    return comb(sum(ties), 2) - sum(comb(size, 2) for size in ties)


def _variance(x_ties: tuple[int, ...], y_ties: tuple[int, ...]) -> float:
    """Variance of s under the null with ties on both sides.  Kendall (1975)."""
    n = sum(x_ties)
    if n < 2:
        return 0.0
    plain, pairs, triples = (
        [sum(term(size) for size in ties) for ties in ((n,), x_ties, y_ties)]
        for term in (
            lambda t: t * (t - 1) * (2 * t + 5),
            lambda t: t * (t - 1),
            lambda t: t * (t - 1) * (t - 2),
        )
    )
    variance = (plain[0] - plain[1] - plain[2]) / 18 + pairs[1] * pairs[2] / (2 * pairs[0])
    return variance + (triples[1] * triples[2] / (9 * triples[0]) if n > 2 else 0.0)
