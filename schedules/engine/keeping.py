"""Keep a machine another year or replace it now: what each costs a year, as far as can be told.

Two things cost: failures that are repaired, and the end of the machine's life.  Repairs go by the
rate of failures of the machine's own parts (gamma-Poisson); its life by a Weibull law, with the age
at which it is best replaced (``age_replacement``).  A machine is worth replacing once another year
of it costs more than a machine's year costs in the long run.  Visits cost the same either way.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, isinf

import numpy as np
from scipy.special import gammaincinv

from schedules.engine.errors import SeriesError
from schedules.engine.failures.rates import rate_interval
from schedules.engine.failures.replacing import age_replacement
from schedules.engine.series import Floats
from schedules.engine.settable import Group, number

LEVEL = 0.95
DIFFERING = 1.0
"""Shape of a law under which fans differ much, rule 8's where none is fitted; our choice.

A fleet's record seldom tells how much its fans differ: fitted, the law often has them all alike,
and a fan that fails over and over would look cheap to keep.  Limits are wide enough for both.
"""
YEARS_SHOWN = 10


@dataclass(frozen=True)
class KeepParams(Group):
    """All our choice until an owner's prices are entered and lives of machines are on record."""

    repair_cost: float = number(600.0, "money", (0, 1e8))
    replacement_cost: float = number(4500.0, "money", (1, 1e8))
    closed_hours: float = number(8.0, "h", (0, 2000))
    closed_hour_cost: float = number(500.0, "money/h", (0, 1e8))
    life_shape: float = number(2.5, "", (0.1, 50))
    life_scale_years: float = number(16.0, "years", (0.1, 200))

    @property
    def failure_cost(self) -> float:
        """A failure that is repaired: the repair and the kitchen closed."""
        return self.repair_cost + self.closed_hours * self.closed_hour_cost

    @property
    def end_cost(self) -> float:
        """The end of a machine that nobody planned: a new one and the kitchen closed."""
        return self.replacement_cost + self.closed_hours * self.closed_hour_cost


DEFAULT_KEEPING = KeepParams()


@dataclass(frozen=True)
class Position:
    """The machine in place: its age, failures of its own parts since, over how long watched.

    ``age_years`` is None where nobody knows since when it is there; ``shape`` and ``mean_a_year``
    are the gamma law of its class.
    """

    age_years: float | None
    failures: int
    years: float
    shape: float
    mean_a_year: float


@dataclass(frozen=True)
class Cost:
    """Money a year: expected, and the limits of 95 % that the rate of failures leaves."""

    expected: float
    lower: float
    upper: float


@dataclass(frozen=True)
class KeepOrReplace:
    """What both cost.

    leaning : "replace" or "keep" where the limits of keeping lie clear of the other cost, else
        "unsure", as where failures are priced at nothing; "no_failures" and "no_age" where nothing
        can be told yet
    keep : None without an age; replace : the long run with new machines
    upper_a_year : at most so many failures a year, one-sided 95 %; infinite where nobody watched
    best_age_years : infinite where waiting for the end costs least
    keep_by_year : another year of keeping, this one and those after [money/year]
    """

    leaning: str
    keep: Cost | None
    replace: Cost
    upper_a_year: float
    best_age_years: float
    keep_by_year: tuple[float, ...]


def keep_or_replace(position: Position, params: KeepParams = DEFAULT_KEEPING) -> KeepOrReplace:
    """Both costs of one machine, and which way they lean.

    Source of the comparison: Barlow and Proschan (1965), Mathematical Theory of Reliability: with
    replacement at the best age, its hazard times what an unplanned end costs beyond a planned one
    equals the long-run cost a year.  Raises SeriesError for an age, a count or years below 0.
    """
    if min(position.age_years or 0.0, position.failures, position.years) < 0:
        raise SeriesError(f"an age, a count or years below 0 in {position}")
    best = age_replacement(
        params.life_shape, params.life_scale_years, params.replacement_cost, params.end_cost
    )
    own = _own_rate(position)
    new = _rate(position.shape, position.shape / position.mean_a_year)
    replace = _cost(new, params, float(best.cost_rate))
    upper = (
        float(rate_interval(position.failures, position.years, 2 * LEVEL - 1).upper)
        if position.years > 0
        else inf
    )
    if position.age_years is None:
        return KeepOrReplace("no_age", None, replace, upper, float(best.age), ())
    ends = _end_a_year(position.age_years + np.arange(YEARS_SHOWN + 1.0), params)
    keep = _cost(own, params, float(ends[0]))
    by_year = tuple((own[0] * params.failure_cost + ends).tolist())
    leaning = _leaning(position, keep, replace) if params.failure_cost else "unsure"
    return KeepOrReplace(leaning, keep, replace, upper, float(best.age), by_year)


def _own_rate(position: Position) -> tuple[float, float, float]:
    """By the law of its class; limits as wide as one under which fans differ more leaves them."""
    alike, apart = (
        _rate(shape + position.failures, shape / position.mean_a_year + position.years)
        for shape in (position.shape, min(position.shape, DIFFERING))
    )
    return alike[0], min(alike[1], apart[1]), max(alike[2], apart[2])


def _rate(shape: float, years: float) -> tuple[float, float, float]:
    """Posterior mean of a rate [1/year] and its quantiles."""
    tail = (1 - LEVEL) / 2
    low, high = (float(gammaincinv(shape, p)) / years for p in (tail, 1 - tail))
    return shape / years, low, high


def _end_a_year(ages: Floats, params: KeepParams) -> Floats:
    """What the risk of a machine's end adds in the year from each age [money/year].

    The cumulated hazard over that year, times what an end beyond a planned one costs.
    """
    hazard = np.diff((np.append(ages, ages[-1] + 1) / params.life_scale_years) ** params.life_shape)
    return np.asarray(hazard * (params.end_cost - params.replacement_cost))


def _cost(rate: tuple[float, float, float], params: KeepParams, ends: float) -> Cost:
    return Cost(*(each * params.failure_cost + ends for each in rate))


def _leaning(position: Position, keep: Cost, replace: Cost) -> str:
    if not position.failures or isinf(keep.expected):
        return "no_failures"
    if keep.lower > replace.expected:
        return "replace"
    return "keep" if keep.upper < replace.expected else "unsure"
