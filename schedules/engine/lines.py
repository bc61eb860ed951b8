"""The straight line by least squares, free or held at one point, with its intervals."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

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
    """y = intercept + slope * x.  Every field has the leading shape of the series, dx and dy but
    for the last axis.

    ``hold_x``, ``hold_y`` is the point about which the slope turns (the mean, or the one held),
    ``dx`` and ``dy`` how far off it the series lie (0 where something is missing) and ``spread``
    the sum of squares of ``dx``; ``free`` tells the two kinds apart.
    """

    slope: Floats
    count: Ints
    hold_x: Floats
    hold_y: Floats
    spread: Floats
    dx: Floats
    dy: Floats
    free: bool

    @property
    def intercept(self) -> Floats:
        """y where x is 0."""
        return self.hold_y - self.slope * self.hold_x

    @property
    def degrees(self) -> Ints:
        """Degrees of freedom left: a free line takes two, one held at a point takes one."""
        return self.count - (2 if self.free else 1)

    @property
    def residual(self) -> Floats:
        """The sum of squares of what the line leaves."""
        left: Floats = self.dy - self.slope[..., None] * self.dx
        squares: Floats = (left * left).sum(axis=-1)
        return squares

    @property
    def resid_sd(self) -> Floats:
        """Standard deviation of the residuals [unit of y]; NaN with no degrees left."""
        return np.sqrt(self.residual / np.where(self.degrees > 0, self.degrees, np.nan))

    @property
    def slope_se(self) -> Floats:
        """Standard error of the slope [unit of y per unit of x]."""
        return self.resid_sd / np.sqrt(self.spread)

    @property
    def intercept_se(self) -> Floats:
        """Standard error of the intercept [unit of y]."""
        with np.errstate(divide="ignore", invalid="ignore"):
            return self.resid_sd * np.sqrt(self._own_share + self.hold_x**2 / self.spread)

    @property
    def _own_share(self) -> Floats | float:
        return 1.0 / self.count if self.free else 0.0

    @property
    def r2(self) -> Floats:
        """Share of the squares of y that the line explains, about y's mean or the point held."""
        with np.errstate(divide="ignore", invalid="ignore"):
            left: Floats = self.residual / (self.dy * self.dy).sum(axis=-1)
        return 1 - left

    def predict(self, x: ArrayLike, level: float = 0.95) -> Prediction:
        """Line and two-sided prediction interval for one new observation at ``x``.

        x : broadcast against the leading shape of the series
        level : two-sided, in (0, 1)
        """
        at = np.asarray(x, dtype=np.float64)
        fit = self.intercept + self.slope * at
        with np.errstate(divide="ignore", invalid="ignore"):
            se = self.resid_sd * np.sqrt(
                1 + self._own_share + (at - self.hold_x) ** 2 / self.spread
            )
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
    if through is not None:
        x0, y0 = (np.asarray(each, dtype=np.float64)[..., None] for each in through)
        return line_through(xs, ys, x0, y0)
    present = ~np.isnan(xs)
    count = present.sum(axis=-1, keepdims=True)
    with np.errstate(divide="ignore", invalid="ignore"):
        x0, y0 = (
            np.where(present, each, 0.0).sum(axis=-1, keepdims=True) / count for each in (xs, ys)
        )
    return line_through(xs, ys, x0, y0, free=True)


def line_through(
    x: Floats, y: Floats, x0: Floats, y0: Floats, *, free: bool = False
) -> StraightLine:
    """The line held at (x0, y0), which go together with x and y; x is NaN where a pair is missing.

    ``free`` says that it is held at the mean only because a free line passes there.
    """
    present = ~np.isnan(x)
    dx, dy = np.where(present, x - x0, 0.0), np.where(present, y - y0, 0.0)
    spread = (dx * dx).sum(axis=-1)
    return StraightLine(
        slope=(dx * dy).sum(axis=-1) / np.where(spread > 0, spread, np.nan),
        count=np.asarray(np.count_nonzero(present, axis=-1)),
        hold_x=x0[..., 0],
        hold_y=y0[..., 0],
        spread=spread,
        dx=dx,
        dy=dy,
        free=free,
    )


def _student(degrees: Ints, probability: float) -> Floats:
    """Student's t quantile per element; only as many are worked out as there are degrees."""
    quantiles = _quantiles(int(np.max(degrees, initial=0)), probability)
    return np.asarray(quantiles[np.maximum(degrees, 0)])


@lru_cache(maxsize=64)
def _quantiles(most: int, probability: float) -> Floats:
    """Of 0 to so many degrees, NaN of none."""
    return np.array([np.nan, *stdtrit(np.arange(1, most + 1), probability)])
