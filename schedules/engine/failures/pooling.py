"""A rate for each of many fans, each drawn towards all the others as far as its record is thin."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.optimize import minimize
from scipy.special import digamma, gammaincinv, gammaln

from schedules.engine.errors import SeriesError
from schedules.engine.failures.counts import counted, exposed
from schedules.engine.series import Floats, in_open_unit

PRIOR_SHAPES = (0.05, 100.0)
"""Least and greatest shape of a fitted prior.

At the upper end fans differ by no more than a tenth either way, which no record of this length
tells from not at all; a prior without spread would not let a fan's own record count.
"""


@dataclass(frozen=True)
class GammaPoisson:
    """A gamma prior of the rate, fitted, and what each record makes of it.

    prior_shape, prior_exposure : its shape and, in the unit of exposure, its rate parameter: as if
        so many events had been seen over so long
    rate, lower, upper : shape (units,), posterior mean and quantiles that enclose ``level``
    """

    prior_shape: float
    prior_exposure: float
    rate: Floats
    lower: Floats
    upper: Floats

    @property
    def prior_mean(self) -> float:
        """Mean rate of the prior [1 / unit of exposure]."""
        return self.prior_shape / self.prior_exposure


def gamma_poisson(events: ArrayLike, exposure: ArrayLike, level: float = 0.95) -> GammaPoisson:
    """Fit one gamma prior to all units by greatest marginal likelihood, and update each by its own.

    events, exposure : shape (units,), exposure above 0 in any unit of time
    level : two-sided, in (0, 1)

    The marginal of a count is negative binomial.  The shape is kept within ``PRIOR_SHAPES``, the
    mean follows.  Source of the model: Gaver and O'Muircheartaigh (1987) Technometrics 29, 1-15.
    Raises SeriesError where nothing failed anywhere: no prior can then be fitted.
    """
    n, watched = np.broadcast_arrays(counted("events", events), exposed("exposure", exposure))
    tail = (1 - in_open_unit("level", level)) / 2
    known = ~(np.isnan(n) | np.isnan(watched))
    if not float(n[known].sum()):
        raise SeriesError("nothing failed anywhere: give a prior instead of fitting one")
    shape, mean = _likeliest(n[known], watched[known])
    seen = shape / mean
    after, over = n + shape, watched + seen
    return GammaPoisson(
        shape, seen, after / over,
        gammaincinv(after, tail) / over, gammaincinv(after, 1 - tail) / over,
    )  # fmt: skip


def _likeliest(n: Floats, watched: Floats) -> tuple[float, float]:
    """Shape and mean under which the counts are likeliest, sought as logarithms."""

    def falling(logs: Floats) -> tuple[float, Floats]:
        shape, mean = np.exp(logs)
        whole = shape + mean * watched
        likelihood = gammaln(shape + n) - gammaln(shape) - shape * np.log1p(mean * watched / shape)
        likelihood += n * np.log(mean / whole)
        by_shape = digamma(shape + n) - digamma(shape) - np.log(whole / shape) + 1
        by_shape -= (shape + n) / whole
        by_mean = n / mean - (shape + n) * watched / whole
        slope = np.array([by_shape.mean() * shape, by_mean.mean() * mean])
        return -float(likelihood.mean()), -slope

    pooled = n.sum() / watched.sum()
    low, high = np.log(PRIOR_SHAPES)
    reach = np.log(1e3)
    found = minimize(
        falling, np.log([1.0, pooled]), jac=True, method="L-BFGS-B",
        bounds=[(low, high), (np.log(pooled) - reach, np.log(pooled) + reach)],
        options={"ftol": 1e-15, "gtol": 1e-10},
    )  # fmt: skip
    shape, mean = np.exp(found.x)
    return float(shape), float(mean)
