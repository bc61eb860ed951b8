"""What waiting costs: the odds of a kitchen closed before the next visit, in money.

Chance of a loss of function until then, times the share of them that a visit can prevent, times
hours closed, times the cost of one; beside it what a lapsed code inspection costs a week.  The
chance is that of rule 8's model (the fan's own failures update the law of its class), times a
factor for what stands open on the fan (``schedules.engine.failures.hazards``).
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
    prior_shape: float = number(1.0, "", (0.05, 100))
    preventable_share: float = number(0.6, "", (0, 1))
    closed_hours: float = number(8.0, "h", (0, 2000))
    closed_hour_cost: float = number(500.0, "money/h", (0, 1e8))
    lapsed_week_cost: float = number(250.0, "money/week", (0, 1e8))
    weeks_without_a_day: float = number(4.0, "weeks", (0.1, 104))
    interval: float = number(0.8, "", (0.1, 0.99))


DEFAULT_WAITING = WaitingParams()


@dataclass(frozen=True)
class Odds:
    """What is known of fans beside their failures; each a number or of shape (fans,).

    shape, mean_a_year : the gamma law of a fan's class, None for the assumed one
    factor : how many times more often a fan fails with what stands open on it
    """

    shape: ArrayLike | None = None
    mean_a_year: ArrayLike | None = None
    factor: ArrayLike = 1.0


USUAL = Odds()


@dataclass(frozen=True)
class Waiting:
    """Shape (fans,): money expected to be lost, and the ends of its range [money].

    ``chance`` is the expected one of a loss of function meanwhile.
    """

    low: Floats
    expected: Floats
    high: Floats
    chance: Floats


def chance_of_failure(
    failures: ArrayLike,
    years: ArrayLike,
    weeks: ArrayLike,
    params: WaitingParams = DEFAULT_WAITING,
    odds: Odds = USUAL,
) -> tuple[Floats, Floats, Floats]:
    """Chance in [0, 1] of at least one loss of function within ``weeks``: low, expected, high.

    Losses of function counted over ``years`` of record update a gamma prior of the rate (rule 8's,
    rules.md C); expected is the predictive 1 - (b / (b + t))^a of the gamma-Poisson model, the ends
    are at the quantiles of the rate that enclose ``interval``.  A law of a shape above the assumed
    one has fans nearly alike, which few failures cannot show: the ends then enclose those by the
    assumed shape too.  Shapes (fans,).
    """
    prior = np.asarray(params.prior_shape if odds.shape is None else odds.shape, float)
    usual = params.prior_failures_a_year if odds.mean_a_year is None else odds.mean_a_year
    mean = np.asarray(usual, float)
    shape = np.asarray(failures, float) + prior
    seen = np.asarray(years, float) + prior / mean
    # a rate so many times as high is so much more time
    ahead = np.asarray(weeks, float) * 7 / 365.25 * np.asarray(odds.factor, float)
    expected = -np.expm1(-shape * np.log1p(ahead / seen))
    rates = [
        _limits(np.asarray(failures, float) + each, np.asarray(years, float) + each / mean, params)
        for each in (prior, np.minimum(prior, params.prior_shape))
    ]
    low, high = np.min([rate[0] for rate in rates], 0), np.max([rate[1] for rate in rates], 0)
    return -np.expm1(-low * ahead), expected, -np.expm1(-high * ahead)


def _limits(shape: Floats, seen: Floats, params: WaitingParams) -> tuple[Floats, Floats]:
    """Quantiles of the rate that enclose ``interval`` [1/year]."""
    tail = (1 - params.interval) / 2
    return gammaincinv(shape, tail) / seen, gammaincinv(shape, 1 - tail) / seen


def cost_of_waiting(
    failures: ArrayLike,
    years: ArrayLike,
    weeks: ArrayLike,
    params: WaitingParams = DEFAULT_WAITING,
    odds: Odds = USUAL,
) -> Waiting:
    """What waiting ``weeks`` for a visit is expected to lose, with its range; shapes (fans,)."""
    at_stake = params.preventable_share * params.closed_hours * params.closed_hour_cost
    low, expected, high = chance_of_failure(failures, years, weeks, params, odds)
    return Waiting(low * at_stake, expected * at_stake, high * at_stake, expected)


def rounded_out(low: float, high: float) -> tuple[int, int]:
    """Both ends to one significant figure, outwards: nobody knows more digits than that."""
    return _to_one_figure(low, np.floor), _to_one_figure(high, np.ceil)


def _to_one_figure(value: float, towards: np.ufunc) -> int:
    if value <= 0:
        return 0
    step = 10.0 ** max(0, int(np.floor(np.log10(value))))
    # a value on its step stays there although its quotient may be a hair off
    return int(towards(round(value / step, 9)) * step)
