"""Kendall's rank test for a trend in time: exact, ties included, for one series or for many."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import nan, prod
from operator import lt

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtr

from schedules.engine.errors import SeriesError
from schedules.engine.rank_nulls import falling_tail, null_counts, untied_pairs
from schedules.engine.series import BLOCK, Floats, Ints, paired

BATCH_WIDTH = 35
"""Columns up to which a row's tie pattern fits 64 bits."""


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

    Exact for up to ``EXACT_UP_TO`` readings; if both x and y have ties, for up to 20 of them, and
    only while few enough intermediate states arise: always for up to 16 readings, and for 20 where
    no more than three days are read twice.  With fewer than two distinct x or y
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
    counts = null_counts(x_ties, y_ties)
    p_values = _normal_p(s, var_s) if counts is None else _exact_p(s, counts)
    return MannKendall(
        s, var_s, float(z), float(2 * ndtr(-abs(z))), *p_values,
        tau=s / untied_pairs(x_ties) ** 0.5 / untied_pairs(y_ties) ** 0.5 if var_s > 0 else nan,
        method="normal" if counts is None else "exact",
    )  # fmt: skip


def increasing_p(x: ArrayLike, y: ArrayLike) -> Floats:
    """Exact one-sided p that y rises with x, row by row what ``mann_kendall`` calls p_increasing.

    x, y : float, shape (N, K), x in order along each row; pairs with a NaN are left out
    returns float64, shape (N,); 1 for rows with nothing to compare

    Raises SeriesError for shapes that differ, infinities, one axis only, or x out of order.
    """
    xs, ys = paired(x, y)
    if xs.ndim != 2:
        raise SeriesError(f"x has {xs.ndim} axes; give rows of series")
    latest = np.fmax.accumulate(xs, axis=1)
    if (xs < latest).any():
        raise SeriesError("x goes back within a row; sort each series by x")
    p = np.ones(len(ys))
    alone = ((xs[:, 1:] == latest[:, :-1]).any(axis=1)) | (xs.shape[1] > BATCH_WIDTH)
    for row in np.flatnonzero(alone):
        p[row] = mann_kendall(xs[row], ys[row]).p_increasing
    together = np.flatnonzero(~alone)
    for begin in range(0, len(together), BLOCK):
        rows = together[begin : begin + BLOCK]
        p[rows] = _block_p(ys[rows])
    return p


def rises(x: Sequence[float], y: Sequence[float], largest_p: float) -> bool:
    """Whether ``increasing_p`` of one series without gaps is at most ``largest_p``, up to 1/2.

    It is counted before arrays are made of it.  Raises SeriesError as that does.
    """
    if len(x) > BATCH_WIDTH or not all(map(lt, x, x[1:])) or len(x) != len(y):
        return bool(increasing_p([x], [y])[0] <= largest_p)
    falling = sum(later < value for at, value in enumerate(y) for later in y[at + 1 :])
    ties = tuple(sorted(Counter(y).values(), reverse=True))
    # With times all apart the null is symmetric: where no more pairs rise than fall, p is over 1/2.
    if 2 * falling >= untied_pairs(ties):
        return False
    return bool(falling_tail(ties)[falling] <= largest_p)


def _block_p(rows: Floats) -> Floats:
    """p of rows whose columns are in time order, no two at one time."""
    falling, width = _falling(rows), rows.shape[1]
    patterns, of_row = np.unique(_tie_pattern(rows), return_inverse=True)
    tables = [_tail_of_pattern(pattern, width) for pattern in patterns.tolist()]
    starts = np.cumsum([0, *map(len, tables[:-1])])
    return np.asarray(np.concatenate(tables)[starts[of_row] + falling])


def _falling(rows: Floats) -> Ints:
    """Pairs of each row of which the later is the lower."""
    falling = np.zeros(len(rows), np.int64)
    # One reading of all rows side by side: adding up along rows takes several times longer.
    readings = np.ascontiguousarray(rows.T)
    for place, reading in enumerate(readings[:-1], 1):
        lower = readings[place:] < reading
        falling += lower.view(np.uint8).sum(axis=0, dtype=np.uint8)
    return falling


def _tie_pattern(rows: Floats) -> Ints:
    """A number per row, alike for rows with groups of equal values of the same sizes."""
    ordered = np.ascontiguousarray(np.sort(rows, axis=1).T)
    growth = np.diff(_pattern_weights(rows.shape[1]), prepend=0)
    pattern, run = np.zeros((2, len(rows)), np.int64)
    before = np.full(len(rows), np.nan)
    for value in ordered:
        run = np.where(value == before, run + 1, 1)
        pattern += np.where(np.isnan(value), 0, growth[run])
        before = value
    return pattern


@lru_cache(maxsize=4096)
def _tail_of_pattern(pattern: int, width: int) -> Floats:
    """``falling_tail`` of the groups whose weights sum to ``pattern``: the heaviest come first."""
    sizes: list[int] = []
    weights = _pattern_weights(width).tolist()
    for size in range(width, 0, -1):
        groups, pattern = divmod(pattern, weights[size])
        sizes += [size] * groups
    return falling_tail(tuple(sizes))


@lru_cache(maxsize=64)
def _pattern_weights(width: int) -> Ints:
    """Weight of a group of ties by its size, so that sums tell any two patterns apart."""
    room = [width // size + 1 for size in range(1, width + 1)]
    return np.array([0, *(prod(room[:place]) for place in range(width))], np.int64)


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


def _variance(x_ties: tuple[int, ...], y_ties: tuple[int, ...]) -> float:
    """Variance of s under the null with ties on both sides.  Kendall (1975)."""
    n = sum(x_ties)
    if not untied_pairs(x_ties) or not untied_pairs(y_ties):
        return 0.0
    rest = sum(_scatter(size) for size in (*x_ties, *y_ties))
    pairs_x, pairs_y = (sum(size * (size - 1) for size in ties) for ties in (x_ties, y_ties))
    triples_x, triples_y = (
        sum(size * (size - 1) * (size - 2) for size in ties) for ties in (x_ties, y_ties)
    )
    variance = (_scatter(n) - rest) / 18 + pairs_x * pairs_y / (2 * n * (n - 1))
    return variance + (triples_x * triples_y / (9 * n * (n - 1) * (n - 2)) if n > 2 else 0.0)


def _scatter(n: int) -> int:
    return n * (n - 1) * (2 * n + 5)
