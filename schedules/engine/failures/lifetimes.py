"""How long parts last: a Weibull law from lives that ended and lives that still go on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.optimize import brentq, minimize_scalar
from scipy.special import gammaincinv

from schedules.engine.errors import SeriesError
from schedules.engine.failures.counts import exposed
from schedules.engine.series import Flags, Floats, in_open_unit

SHAPES = (1e-3, 1e3)
"""Between these a shape is looked for; no part has one beyond."""
REACH = 30.0
"""How far limits are looked for, as a natural logarithm."""


@dataclass(frozen=True)
class Weibull:
    """The chance to outlive t is exp(-(t / scale) ^ shape).

    shape : above 1 parts wear out, below 1 they fail young; NaN where the lives do not tell, and
        then its limits are 0 and infinity
    scale : the life that 37 % reach [unit of the lives]; NaN likewise.  Where nothing failed its
        lower limit is that of lives without memory (shape 1)
    """

    shape: float
    scale: float
    shape_lower: float
    shape_upper: float
    scale_lower: float
    scale_upper: float
    log_likelihood: float
    failures: int


def weibull(times: ArrayLike, failed: ArrayLike, level: float = 0.95) -> Weibull:
    """Fit by greatest likelihood, with two-sided limits by the likelihood ratio.

    times : shape (lives,), each above 0
    failed : shape (lives,), whether it ended with a failure; else it still went on at that time
    level : two-sided, in (0, 1)

    Source: Meeker and Escobar (1998), Statistical Methods for Reliability Data, chapter 8; the
    likelihood has a greatest value unless all failures share the longest time.  Raises SeriesError
    for lives that are missing, not above 0, or without a flag each.
    """
    lives, ended = _lives(times, failed)
    drop = float(gammaincinv(0.5, in_open_unit("level", level)))
    if not bool(np.any(lives[ended] < lives.max(initial=0.0))):
        return _untold(lives, ended, level)
    # in units of the longest life powers do not overflow
    longest = float(lives.max())
    fit = _Likelihood(lives / longest, ended)
    log_shape = brentq(lambda log: fit.slope(np.exp(log)), *np.log(SHAPES))
    log_scale = np.log(fit.scale(np.exp(log_shape)))
    best = fit(log_shape, log_scale)
    shape_limits = _limits(
        lambda log: fit(log, np.log(fit.scale(np.exp(log)))), log_shape, best - drop
    )
    scale_limits = _limits(fit.at_scale, log_scale, best - drop)
    return Weibull(
        shape=float(np.exp(log_shape)),
        scale=float(np.exp(log_scale)) * longest,
        shape_lower=shape_limits[0],
        shape_upper=shape_limits[1],
        scale_lower=scale_limits[0] * longest,
        scale_upper=scale_limits[1] * longest,
        log_likelihood=best - fit.failures * float(np.log(longest)),
        failures=fit.failures,
    )


class _Likelihood:
    """The logarithm of the likelihood of some lives, as a function of log shape and log scale."""

    def __init__(self, lives: Floats, ended: Flags) -> None:
        self.logs, self.failures = np.log(lives), int(ended.sum())
        self.sum_of_failed = float(self.logs[ended].sum())

    def __call__(self, log_shape: float, log_scale: float) -> float:
        shape = np.exp(log_shape)
        survived = np.exp(shape * (self.logs - log_scale)).sum()
        density = log_shape - shape * log_scale
        return float(self.failures * density + (shape - 1) * self.sum_of_failed - survived)

    def scale(self, shape: float) -> float:
        """The likeliest scale of a shape."""
        mean = np.exp(shape * self.logs).sum() / self.failures
        return float(mean ** (1 / shape))

    def slope(self, shape: float) -> float:
        """Zero at the likeliest shape, falling."""
        weights = np.exp(shape * self.logs)
        middle = (weights * self.logs).sum() / weights.sum()
        return float(1 / shape + self.sum_of_failed / self.failures - middle)

    def at_scale(self, log_scale: float) -> float:
        """The greatest likelihood any shape gives a scale."""
        with np.errstate(over="ignore"):
            found = minimize_scalar(
                lambda log: -self(log, log_scale), bounds=np.log(SHAPES), method="bounded",
                options={"xatol": 1e-9},
            )  # fmt: skip
        return -float(found.fun)


def _limits(
    likelihood: Callable[[float], float], best: float, wanted: float
) -> tuple[float, float]:
    """Where a likelihood falls to what is wanted on either side; 0 or infinity where it never."""

    def on_side(far: float, never: float) -> float:
        with np.errstate(over="ignore"):
            if likelihood(far) > wanted:
                return never
            return float(np.exp(brentq(lambda log: likelihood(log) - wanted, *sorted((best, far)))))

    return on_side(best - REACH, 0.0), on_side(best + REACH, np.inf)


def _untold(lives: Floats, ended: Flags, level: float) -> Weibull:
    lower = 0.0
    if not ended.any() and len(lives):
        lower = float(lives.sum()) / -float(np.log1p(-level))
    nan = float("nan")
    return Weibull(nan, nan, 0.0, np.inf, lower, np.inf, nan, int(ended.sum()))


def _lives(times: ArrayLike, failed: ArrayLike) -> tuple[Floats, Flags]:
    lives, ended = exposed("times", times), np.asarray(failed, dtype=bool)
    if lives.ndim != 1 or lives.shape != ended.shape or bool(np.isnan(lives).any()):
        raise SeriesError(
            f"times {times!r} and failed {failed!r}: give each life one time and one flag"
        )
    return lives, ended
