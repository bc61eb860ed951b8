"""The age at which a part is best replaced before it fails, if at any."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.optimize import elementwise
from scipy.special import gammainc, gammaln

from schedules.engine.failures.counts import exposed
from schedules.engine.series import Floats

BEYOND_LIFE = 20.0
"""An age that fewer than exp(-20) of all parts reach is never."""


@dataclass(frozen=True)
class AgeReplacement:
    """Shapes broadcast from the input.

    age : infinite where waiting for the failure costs least [unit of scale]
    cost_rate : replacing at that age [money / unit of scale]
    cost_rate_run_to_failure : replacing only what failed
    """

    age: Floats
    cost_rate: Floats
    cost_rate_run_to_failure: Floats


def age_replacement(
    shape: ArrayLike, scale: ArrayLike, cost_planned: ArrayLike, cost_failure: ArrayLike
) -> AgeReplacement:
    """Cheapest age for replacing a part of Weibull life, as good as new each time.

    All broadcast together and above 0; ``cost_failure`` is a failure's whole cost, its replacement
    included.  Source: Barlow and Proschan (1965), Mathematical Theory of Reliability: at the best
    age hazard * mean life up to it - chance of failing by it = planned / (failure - planned).
    Where parts do not wear out (shape at most 1) or failures cost no more there is no such age.
    Raises SeriesError for what is not above 0.
    """
    k, life, planned, failure = np.broadcast_arrays(
        exposed("shape", shape), exposed("scale", scale),
        exposed("cost_planned", cost_planned), exposed("cost_failure", cost_failure),
    )  # fmt: skip
    mean = np.exp(gammaln(1 + 1 / k))
    worth = (k > 1) & (failure > planned)
    with np.errstate(divide="ignore", invalid="ignore"):
        target = np.where(worth, planned / (failure - planned), np.nan)
    log_age = _best_log_age(np.where(worth, k, 2.0), np.where(worth, target, 1.0))
    # in units of scale, as up to the return
    reached = worth & (np.exp(k * np.where(worth, log_age, 0.0)) < BEYOND_LIFE)
    age = np.where(reached, np.exp(log_age), np.inf)
    chance = -np.expm1(-(age**k))
    lived = mean * gammainc(1 / k, age**k)
    return AgeReplacement(
        age * life,
        (planned * (1 - chance) + failure * chance) / (lived * life),
        failure / (mean * life),
    )


def _best_log_age(shape: Floats, target: Floats) -> Floats:
    """Root of the condition in the docstring above, age in units of scale; NaN beyond reach."""

    def over(log_age: Floats, k: Floats, wanted: Floats) -> Floats:
        turned = np.exp(k * log_age)
        hazard = k * turned / np.exp(log_age)
        lived = np.exp(gammaln(1 + 1 / k)) * gammainc(1 / k, turned)
        return np.asarray(hazard * lived + np.expm1(-turned) - wanted)

    reach = np.full(np.shape(shape), 30.0)
    with np.errstate(over="ignore", invalid="ignore"):
        found = elementwise.find_root(over, (-reach, reach / shape * 10), args=(shape, target))
    return np.asarray(np.where(found.success, found.x, np.nan))
