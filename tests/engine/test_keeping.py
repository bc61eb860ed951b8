"""Keep or replace: by hand, against the best age of the textbook, and where nothing can be told."""

from __future__ import annotations

from math import exp, gamma, inf

import pytest
from scipy import integrate, optimize, stats

from schedules.engine.errors import SeriesError
from schedules.engine.keeping import DEFAULT_KEEPING, KeepParams, Position, keep_or_replace

PARAMS = KeepParams().overridden(
    {"repair_cost": 500, "replacement_cost": 4000, "closed_hours": 10, "closed_hour_cost": 400}
)
"""A failure costs 4,500, an end that nobody planned 8,000, a planned one 4,000."""
LAW = {"shape": 1.0, "mean_a_year": 0.25}


def place(age: float | None = 10.0, failures: int = 3, years: float = 6.0) -> Position:
    return Position(age, failures, years, **LAW)


# By hand: own rate (1 + 3) / (4 + 6) = 0.4 a year; the coming year of a machine of ten years adds
# (11/16)^2.5 - (10/16)^2.5 = 0.391904 - 0.308816 = 0.083088 ends, each 4,000 more than planned.
def test_keeping_then_rate_times_failure_and_the_risk_of_its_end_by_hand() -> None:
    found = keep_or_replace(place(), PARAMS)
    assert found.keep
    assert found.keep.expected == pytest.approx(0.4 * 4500 + 0.083088 * 4000, abs=0.05)


# The limits are those of the gamma law, from scipy.stats.
def test_keeping_then_limits_of_the_posterior() -> None:
    found = keep_or_replace(place(), PARAMS)
    assert found.keep
    between = [
        (found.keep.lower - 0.083088 * 4000) / 4500,
        (found.keep.upper - 0.083088 * 4000) / 4500,
    ]
    assert between == pytest.approx(stats.gamma(4, scale=0.1).interval(0.95), abs=1e-4)


# Barlow and Proschan (1965): the best age minimises [planned R(T) + failure F(T)] / integral of R.
# Minimised here by scipy over that quotient; keeping crosses the long run's cost at that age.
def test_keeping_then_crosses_the_long_run_at_the_textbook_s_best_age() -> None:
    lives = stats.weibull_min(2.5, scale=16)

    def cost(age: float) -> float:
        lived = integrate.quad(lives.sf, 0, age)[0]
        return float((4000 * lives.sf(age) + 8000 * lives.cdf(age)) / lived)

    best = optimize.minimize_scalar(cost, bounds=(1, 60), method="bounded")
    found = keep_or_replace(place(failures=0, years=0.0), PARAMS)
    assert found.best_age_years == pytest.approx(best.x, abs=0.01)
    assert found.replace.expected == pytest.approx(0.25 * 4500 + best.fun, rel=1e-6)
    costs = [keep_or_replace(place(best.x + d, 0, 0.0), PARAMS).keep for d in (-1, 0.01)]
    before, after = (cost.expected if cost else 0.0 for cost in costs)
    assert 0 < before < found.replace.expected < after


# With shape 1 nothing wears out: the long run is failure / mean life (e.g. the same book).
def test_machine_when_nothing_wears_out_then_no_best_age() -> None:
    params = PARAMS.overridden({"life_shape": 1.0})
    found = keep_or_replace(place(), params)
    assert found.best_age_years == inf
    assert found.replace.expected == pytest.approx(0.25 * 4500 + 8000 / (16 * gamma(2)))


@pytest.mark.parametrize(
    ("position", "leaning"),
    [
        (place(20, 12, 6), "replace"),
        (place(2, 1, 30), "keep"),
        (place(10, 1, 3), "unsure"),
        (place(10, 0, 6), "no_failures"),
        (place(None, 3, 6), "no_age"),
    ],
)
def test_leaning_then_only_where_the_limits_lie_clear(position: Position, leaning: str) -> None:
    assert keep_or_replace(position, PARAMS).leaning == leaning


# One-sided 95 % without a failure: 1 - exp(-rate x years) = 0.95, the "rule of three".
def test_no_failures_then_at_most_so_many_a_year() -> None:
    upper = keep_or_replace(place(10, 0, 6), PARAMS).upper_a_year
    assert exp(-upper * 6) == pytest.approx(0.05)
    assert keep_or_replace(place(10, 0, 0), PARAMS).upper_a_year == inf


def test_age_below_nothing_then_refused() -> None:
    with pytest.raises(SeriesError, match="below 0"):
        keep_or_replace(place(-1))


def test_keeping_when_the_law_has_all_fans_alike_then_limits_allow_that_they_differ() -> None:
    """Four failures in 1.5 years are no proof that keeping is cheap, whatever the fleet's law.

    By hand, shape 1 and mean 0.18: gamma of shape 5 over 1.5 + 1 / 0.18 years, 7.06; its 97.5 %
    point is 10.24 (half the chi-square's of 10 degrees, 20.48) / 7.06 = 1.45 a year.
    """
    found = keep_or_replace(Position(2.5, 4, 1.5, 100.0, 0.18))
    assert found.leaning == "unsure"
    assert found.keep is not None
    assert found.keep.upper == pytest.approx(1.45 * DEFAULT_KEEPING.failure_cost, rel=0.02)
