"""The oracle's steps and trends against Sen's example, Kendall's variance and counted orders."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import permutations
from random import Random

import pytest

from schedules.engine.record import Look
from tests.engine.fans import fan, walk
from tests.engine.given import case
from tests.oracle.asked import asked
from tests.oracle.test_vibration_level import measured
from tests.oracle.vibration_step import is_step
from tests.oracle.vibration_trend import (
    concordance,
    days_to_alarm,
    fitted_last,
    kendall_p,
    kept_pairs,
    sign_sum_variance,
    upper_slope,
)

RISING = [3.0, 4.0, 5.0, 6.0, 7.0]
FORTNIGHTS = [0, 14, 28, 42, 70]


# TR-04: Sen (1968); a unit of x taken as 14 days keeps every pair.
def test_upper_slope_when_sens_example_then_his_limit() -> None:
    inputs, expected = case("TR-04")
    days = [14 * x for x in inputs["x"]]
    y = [float(value) for value in inputs["y"]]
    assert 14 * upper_slope(days, y, inputs["confidence"]) == pytest.approx(expected["upper"])


def test_fitted_last_when_sens_example_then_on_the_line_of_median_residual() -> None:
    inputs, expected = case("TR-04")
    y = [float(value) for value in inputs["y"]]
    line = expected["slope"] * inputs["x"][-1] + expected["intercept_median_of_residuals"]
    assert fitted_last([14 * x for x in inputs["x"]], y) == pytest.approx(line)


# TR-05: S of a strictly rising series; one of 7! orders reaches it.
def test_kendall_when_strictly_rising_then_one_order_in_all() -> None:
    inputs, expected = case("TR-05")
    days, y = list(range(7)), [float(value) for value in inputs["y"]]
    assert concordance(days, y) == expected["S"]
    assert kendall_p(days, y) == Fraction(1, 5040)


# TR-05: with every pair kept the variance is Kendall's n (n - 1) (2 n + 5) / 18.
def test_variance_when_every_pair_is_kept_then_kendalls() -> None:
    _, expected = case("TR-05")
    pairs = kept_pairs([14 * n for n in range(7)])
    assert sign_sum_variance(pairs) == pytest.approx(expected["var_S"])


@pytest.mark.parametrize("seed", range(12))
def test_kendall_when_every_order_is_listed_then_the_same_chance(seed: int) -> None:
    rng = Random(seed)
    days = sorted(rng.randint(0, 5) for _ in range(6))
    y = [float(rng.randint(0, 3)) for _ in range(6)]
    orders = list(permutations(y))
    high = sum(concordance(days, list(order)) >= concordance(days, y) for order in orders)
    assert kendall_p(days, y) == Fraction(high, len(orders))


# The sign sum over kept pairs of values in random order, by listing every order of five.
def test_variance_when_some_pairs_are_left_out_then_as_every_order_gives() -> None:
    days = [0, 10, 20, 30, 50]
    pairs = kept_pairs(days)
    sums = [sum((o[j] > o[i]) - (o[j] < o[i]) for i, j in pairs) for o in permutations(range(5))]
    assert sign_sum_variance(pairs) == pytest.approx(sum(s * s for s in sums) / len(sums))


@pytest.mark.parametrize(
    ("earlier", "value", "step"),
    [
        ([3.0], 9.0, False),
        ([3.0, 3.0], 4.9, False),  # 1.9 is 25 % of 7.6, not more
        ([3.0, 3.0], 4.91, True),
        ([2.0, 3.0, 4.0], 7.4, False),  # 3 x 1.4826 x MAD 1 = 4.4478
        ([2.0, 3.0, 4.0], 7.45, True),
    ],
)
def test_step_when_beyond_both_bounds_then_found(
    earlier: list[float], value: float, step: bool
) -> None:
    assert is_step(earlier, value, 7.6) is step


def rising(*values: float) -> tuple[Look, ...]:
    """A reading a month from 2025-01-01."""
    return tuple(
        measured(f"2025-{month:02}-01", mm_s) for month, mm_s in enumerate(values, start=1)
    )


def test_step_when_it_stands_then_two_weeks() -> None:
    assert asked(fan(looks=rising(3, 3, 5.5)), 5) == [("2025-03-15", "2025-03-18")]


def test_step_when_looked_at_again_then_settled() -> None:
    assert asked(fan(looks=rising(3, 3, 5.5, 5.5)), 5) == []


def test_step_when_it_was_two_readings_ago_then_the_baseline_is_new() -> None:
    assert asked(fan(looks=rising(3, 3, 3, 5.5, 3.1, 5.4)), 5) == []


# 3 to 7 mm/s in 70 days, (12.7 - 7) / slope of the steepest kept pairs, 1 / 14: 79.8 days.
def test_days_to_alarm_when_rising_then_by_the_upper_slope() -> None:
    assert upper_slope(FORTNIGHTS, RISING) == pytest.approx(1 / 14)
    fitted = fitted_last(FORTNIGHTS, RISING)
    assert days_to_alarm(FORTNIGHTS, RISING, 12.7) == int((12.7 - fitted) * 14)


def trend(*values: float) -> tuple[Look, ...]:
    """A reading every 20 days from 2025-01-01."""
    readings = [measured("2025-01-01", mm_s) for mm_s in values]
    return tuple(replace(look, day=look.day + 20 * n) for n, look in enumerate(readings))


# 1 mm/s every 20 days: fitted 7 on 22 March, 5.7 mm/s or 114 days short of the alarm, 57 is half.
def test_trend_when_it_rises_then_half_way_to_the_alarm() -> None:
    record = fan(looks=trend(3, 4, 5, 6, 7))
    assert asked(record, 5) == [("2025-05-18", "2025-05-25")]


def test_trend_when_half_way_is_beyond_the_next_walk_through_then_silent() -> None:
    looks = (walk("2025-01-01"), *trend(3, 4, 5, 6, 7))
    assert asked(fan(looks=looks, reliability="high"), 5) == []


@pytest.mark.parametrize("values", [(3, 4, 5, 6), (3, 4, 3.5, 4, 3.2), (7, 6, 5, 4, 3)])
def test_trend_when_few_or_not_rising_then_silent(values: tuple[float, ...]) -> None:
    assert asked(fan(looks=trend(*values)), 5) == []
