"""What waiting costs: the odds of a kitchen closed before the next visit, in money.

A simple form: chance of a loss of function until then, times the share of them that a visit can
prevent, times hours closed, times the cost of one; beside it what a lapsed code inspection costs a
week.  The chance rests on failures alone: what was found on a fan is not counted in, so that it is
a floor for a fan with an open fault rather than a forecast.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import gammaincinv

from schedules.engine.settable import Group, number

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class WaitingParams(Group):
    """What it is reckoned with; all our choice until a site's own prices are entered."""

    prior_failures_a_year: float = number(0.3, "1/year", (0.001, 50))
    prior_shape: float = number(1.0, "", (0.05, 50))
    preventable_share: float = number(0.6, "", (0, 1))
    closed_hours: float = number(8.0, "h", (0, 2000))
    closed_hour_cost: float = number(500.0, "money/h", (0, 1e8))
    lapsed_week_cost: float = number(250.0, "money/week", (0, 1e8))
    weeks_without_a_day: float = number(4.0, "weeks", (0.1, 104))
    interval: float = number(0.8, "", (0.1, 0.99))


DEFAULT_WAITING = WaitingParams()


@dataclass(frozen=True)
class Waiting:
    """Shape (fans,): money expected to be lost, and the ends of its range [money]."""

    low: Floats
    expected: Floats
    high: Floats


def chance_of_failure(
    failures: ArrayLike, years: ArrayLike, weeks: ArrayLike, params: WaitingParams = DEFAULT_WAITING
) -> tuple[Floats, Floats, Floats]:
    """Chance in [0, 1] of at least one loss of function within ``weeks``: low, expected, high.

    Losses of function counted over ``years`` of record update a gamma prior of the rate (rule 8's,
    rules.md C); expected is the predictive 1 - (b / (b + t))^a of the gamma-Poisson model, the ends
    are at the quantiles of the rate that enclose ``interval``.  Shapes (fans,).
    """
    shape = np.asarray(failures, float) + params.prior_shape
    seen = np.asarray(years, float) + params.prior_shape / params.prior_failures_a_year
    ahead = np.asarray(weeks, float) * 7 / 365.25
    expected = -np.expm1(-shape * np.log1p(ahead / seen))
    tail = (1 - params.interval) / 2
    low, high = (
        -np.expm1(-gammaincinv(shape, quantile) / seen * ahead) for quantile in (tail, 1 - tail)
    )
    return low, expected, high


def cost_of_waiting(
    failures: ArrayLike, years: ArrayLike, weeks: ArrayLike, params: WaitingParams = DEFAULT_WAITING
) -> Waiting:
    """What waiting ``weeks`` for a visit is expected to lose, with its range; shapes (fans,)."""
    at_stake = params.preventable_share * params.closed_hours * params.closed_hour_cost
    low, expected, high = chance_of_failure(failures, years, weeks, params)
    return Waiting(low * at_stake, expected * at_stake, high * at_stake)


def rounded_out(low: float, high: float) -> tuple[int, int]:
    """Both ends to one significant figure, outwards: nobody knows more digits than that."""
    return _to_one_figure(low, np.floor), _to_one_figure(high, np.ceil)


def _to_one_figure(value: float, towards: np.ufunc) -> int:
    if value <= 0:
        return 0
    step = 10.0 ** max(0, int(np.floor(np.log10(value))))
    # a value on its step stays there although its quotient may be a hair off
    return int(towards(round(value / step, 9)) * step)
