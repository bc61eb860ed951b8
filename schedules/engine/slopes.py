"""Theil-Sen slopes with rank limits, for one series or a hundred thousand at once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtri

from schedules.engine.series import BLOCK, Flags, Floats, Ints, in_open_unit, paired


@dataclass(frozen=True)
class TheilSen:
    """Every field has the leading shape of the series; NaN where no pair is kept.

    slope : median of the slopes of the pairs kept
    lower, upper : its two-sided rank limits
    intercept : median of y - slope * x; the other convention in use, median y less slope times
        median x, gives another number
    pairs : how many were kept
    """

    slope: Floats
    lower: Floats
    upper: Floats
    intercept: Floats
    pairs: Ints


def theil_sen(
    x: ArrayLike, y: ArrayLike, level: float = 0.95, min_separation: float = 0.0
) -> TheilSen:
    """Theil-Sen slope of y on x with Sen's rank limits.

    x, y : float, shape (..., K), in any order; pairs with a NaN are left out
    level : two-sided, in (0, 1)
    min_separation : point pairs nearer than this in x are left out [unit of x]; pairs alike in x
        always are

    Limits: with N pairs and C = z * sqrt(variance of their sign sum), the upper is slope number
    round((N + C) / 2) + 1 of the sorted N, at most N, the lower number round((N - C) / 2), at least
    1, counted from 1, halves to even.  The variance counts couples of pairs: +1/3 for a shared
    beginning or end, -1/3 where one begins as the other ends, each twice.  It knows nothing of ties
    in y, which makes the limits wider, not narrower.  Source: Sen (1968) JASA 63, 1379-1389; all
    pairs kept, it is his n(n - 1)(2n + 5) / 18.

    Raises SeriesError for shapes that differ or infinities, ParameterError for a bad level.
    """
    xs, ys = paired(x, y)
    z = float(ndtri((1 + in_open_unit("level", level)) / 2))
    leading, width = xs.shape[:-1], xs.shape[-1]
    rows_x, rows_y = xs.reshape(-1, width), ys.reshape(-1, width)
    result = np.full((4, len(rows_x)), np.nan)
    pairs = np.zeros(len(rows_x), np.int64)
    for begin in range(0, len(rows_x), BLOCK):
        rows = slice(begin, begin + BLOCK)
        result[:, rows], pairs[rows] = _block(rows_x[rows], rows_y[rows], z, min_separation)
    slope, lower, upper, intercept = (row.reshape(leading) for row in result)
    return TheilSen(slope, lower, upper, intercept, pairs.reshape(leading))


def _block(xs: Floats, ys: Floats, z: float, min_separation: float) -> tuple[Floats, Ints]:
    # One row per pair: what is done pair by pair then runs along many series at a time.
    dx, dy = _pair_differences(xs.T), _pair_differences(ys.T)
    kept = np.abs(dx) >= max(min_separation, np.nextafter(0.0, 1.0))
    pairs = np.count_nonzero(kept, axis=0)
    if not pairs.any():
        return np.full((4, len(xs)), np.nan), pairs
    with np.errstate(divide="ignore", invalid="ignore"):
        np.divide(dy, dx, out=dy)
    np.copyto(dy, np.nan, where=~kept)
    slopes = np.ascontiguousarray(dy.T)
    slopes.sort(axis=1)
    half_width = z * np.sqrt(_sign_sum_variance(dx, kept, pairs, xs.shape[1]))
    slope = _sorted_median(slopes, pairs)
    lower = _ranked(slopes, np.maximum(np.rint((pairs - half_width) / 2), 1), pairs)
    upper = _ranked(slopes, np.minimum(np.rint((pairs + half_width) / 2) + 1, pairs), pairs)
    residuals = np.sort(ys - slope[:, None] * xs, axis=1)
    intercept = _sorted_median(residuals, np.count_nonzero(~np.isnan(residuals), axis=1))
    return np.stack([slope, lower, upper, intercept]), pairs


def _strips(width: int) -> Iterator[tuple[int, slice]]:
    """Each point with where its pairs with all later ones stand, in ``triu_indices`` order."""
    done = 0
    for point in range(width - 1):
        yield point, slice(done, done + width - 1 - point)
        done += width - 1 - point


def _pair_differences(values: Floats) -> Floats:
    """Later point less earlier for every pair of points, shape (pairs, series)."""
    width, series = values.shape
    differences = np.empty((width * (width - 1) // 2, series))
    for point, strip in _strips(width):
        np.subtract(values[point + 1 :], values[point], out=differences[strip])
    return differences


def _sign_sum_variance(dx: Floats, kept: Flags, pairs: Ints, width: int) -> Floats:
    """Couples counted by point: a point that begins a pairs and ends b adds (a - b) squared / 3.

    Per point, shared beginnings and ends number a(a - 1) / 2 + b(b - 1) / 2, chained ones a * b;
    a third of twice their difference, and the N pairs themselves, sum to this.
    """
    sign = (kept & (dx > 0)).view(np.int8) - (kept & (dx < 0)).view(np.int8)
    balance = np.zeros((width, dx.shape[1]), np.int16)
    # A matrix product would be shorter, but its threads fight over busy cores.
    for point, strip in _strips(width):
        balance[point] += sign[strip].sum(axis=0, dtype=np.int16)
        balance[point + 1 :] -= sign[strip]
    return np.asarray((pairs + np.square(balance, dtype=np.int64).sum(axis=0)) / 3)


def _sorted_median(values: Floats, count: Ints) -> Floats:
    """Median of the first ``count`` of each sorted row; NaN sorts last and is never among them."""
    low = _ranked(values, (count + 1) // 2, count)
    return np.asarray((low + _ranked(values, count // 2 + 1, count)) / 2)


def _ranked(values: Floats, rank: ArrayLike, count: Ints) -> Floats:
    """Value number ``rank``, from 1, of each sorted row; NaN for an empty row."""
    column = np.maximum(np.asarray(rank, np.int64) - 1, 0)
    return np.where(count > 0, values[np.arange(len(values)), column], np.nan)
