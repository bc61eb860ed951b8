"""The straight line by least squares, free or held at one point, with its intervals."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import stdtrit

from schedules.engine.series import Floats, Ints, in_open_unit, paired


@dataclass(frozen=True)
class Prediction:
    """The line at some x and the interval in which one new observation is expected there."""

    fit: Floats
    lower: Floats
    upper: Floats


@dataclass(frozen=True)
class StraightLine:
    """y = intercept + slope * x.  Every field has the leading shape of the series.

    ``resid_sd`` is the square root of the residual sum over ``degrees``: n - 2 for a free line,
    n - 1 for one held at a point.  ``r2`` of a held line is taken about that point's y.
    ``hold_x`` is the x about which the slope turns (the mean, or the point held) and
    ``spread`` the sum of squares of x about it; ``free`` tells the two kinds apart.
    """

    slope: Floats
    intercept: Floats
    slope_se: Floats
    intercept_se: Floats
    r2: Floats
    resid_sd: Floats
    count: Ints
    degrees: Ints
    hold_x: Floats
    spread: Floats
    free: bool

    def predict(self, x: ArrayLike, level: float = 0.95) -> Prediction:
        """Line and two-sided prediction interval for one new observation at ``x``.

        x : broadcast against the leading shape of the series
        level : two-sided, in (0, 1)
        """
        at = np.asarray(x, dtype=np.float64)
        fit = self.intercept + self.slope * at
        own_share = 1.0 / self.count if self.free else 0.0
        with np.errstate(divide="ignore", invalid="ignore"):
            se = self.resid_sd * np.sqrt(1 + own_share + (at - self.hold_x) ** 2 / self.spread)
        half = se * _student(self.degrees, (1 + in_open_unit("level", level)) / 2)
        return Prediction(fit, fit - half, fit + half)

    def upper_slope(self, confidence: float) -> Floats:
        """One-sided upper limit of the slope: slope + t * slope_se; NaN with no degrees left."""
        t = _student(self.degrees, in_open_unit("confidence", confidence))
        return np.asarray(self.slope + t * self.slope_se)


def straight_line(
    x: ArrayLike, y: ArrayLike, through: tuple[ArrayLike, ArrayLike] | None = None
) -> StraightLine:
    """Fit y on x by ordinary least squares.

    x, y : float, shape (..., K); pairs with a NaN are left out
    through : None for a free line, or (x0, y0), each broadcast against the leading shape: the line
        then passes through that point and only the slope is estimated

    Where no line can be drawn (too few points, all x alike) slope and what follows from it are
    NaN; where no scatter can be told (no degrees left) the standard errors are NaN.
    Raises SeriesError for shapes that differ, infinities or values that are no numbers.
    """
    xs, ys = paired(x, y)
    present = ~np.isnan(xs)
    count = present.sum(axis=-1)
    with np.errstate(divide="ignore", invalid="ignore"):
        hold_x, hold_y = _held_point(xs, ys, present, count) if through is None else _given(through)
        dx = np.where(present, xs - hold_x[..., None], 0.0)
        dy = np.where(present, ys - hold_y[..., None], 0.0)
        spread, degrees = (dx * dx).sum(axis=-1), count - (2 if through is None else 1)
        slope = (dx * dy).sum(axis=-1) / np.where(spread > 0, spread, np.nan)
        residual = ((dy - slope[..., None] * dx) ** 2).sum(axis=-1)
        resid_sd = np.sqrt(residual / np.where(degrees > 0, degrees, np.nan))
        own_share = 1.0 / count if through is None else 0.0
        return StraightLine(
            slope=slope,
            intercept=hold_y - slope * hold_x,
            slope_se=resid_sd / np.sqrt(spread),
            intercept_se=resid_sd * np.sqrt(own_share + hold_x**2 / spread),
            r2=1 - residual / (dy * dy).sum(axis=-1),
            resid_sd=resid_sd,
            count=count,
            degrees=degrees,
            hold_x=hold_x,
            spread=spread,
            free=through is None,
        )


def _held_point(xs: Floats, ys: Floats, present: np.ndarray, count: Ints) -> tuple[Floats, Floats]:
    mean_x = np.where(present, xs, 0.0).sum(axis=-1) / count
    mean_y = np.where(present, ys, 0.0).sum(axis=-1) / count
    return np.asarray(mean_x), np.asarray(mean_y)


def _given(through: tuple[ArrayLike, ArrayLike]) -> tuple[Floats, Floats]:
    return np.asarray(through[0], dtype=np.float64), np.asarray(through[1], dtype=np.float64)


def _student(degrees: Ints, probability: float) -> Floats:
    """Student's t quantile per element; only as many are worked out as there are degrees."""
    each = np.arange(np.max(degrees, initial=0) + 1)
    quantile = np.where(each > 0, stdtrit(np.maximum(each, 1), probability), np.nan)
    return np.asarray(quantile[np.maximum(degrees, 0)])
