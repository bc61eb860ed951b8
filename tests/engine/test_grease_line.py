"""Grease crossings against a hand-worked case, scipy's regression, and what must always hold."""

from __future__ import annotations

from math import floor, nan, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from fleet.units import grease_depth_um
from schedules.engine import grease_crossing
from schedules.engine.errors import SeriesError
from schedules.engine.grease_line import GreaseBasis
from schedules.engine.parameters import GreaseLoad
from tests.engine.fans import day
from tests.engine.given import case

LIMIT = 2000.0


# NF-04, worked by hand: (800 - 50) / 60 = 12.5 um a day, 156 days from the cleaning.
def test_grease_crossing_of_one_reading_then_the_line_from_the_cleaned_depth() -> None:
    inputs, expected = case("NF-04")
    (cleaned, _), (read, depth) = inputs["cleaned"], inputs["reading"]
    found = grease_crossing([day(read)], [depth], inputs["limit_um"], day(cleaned))
    assert (found.slope_um_d, found.crossing_day) == (
        expected["rate_um_per_day"],
        day(expected["crossing_date"]),
    )


# Held at (0, 50): steps (10, 100), (20, 300) give slope (1000 + 6000) / 500 = 14 by hand.
def test_grease_crossing_of_two_near_readings_then_least_squares_held_at_the_start() -> None:
    found = grease_crossing([10, 20], [150, 350], LIMIT, 0)
    assert (found.slope_um_d, found.crossing_day) == (14.0, 20 + floor(1650 / 14))


def test_grease_crossing_when_last_two_far_apart_and_steeper_then_their_slope() -> None:
    found = grease_crossing([10, 24], [150, 430], LIMIT, 0)
    assert (found.slope_um_d, found.basis) == (20.0, GreaseBasis.LAST_TWO)


def test_grease_crossing_when_last_two_far_apart_but_flatter_then_the_line() -> None:
    found = grease_crossing([10, 24], [350, 400], LIMIT, 0)
    assert found.basis == GreaseBasis.LINE


# scipy.stats: slope held at the start, its standard error, and Student's t at 0.90.
def test_grease_crossing_of_three_readings_then_the_upper_slope() -> None:
    steps, growth = np.array([10.0, 20.0, 30.0]), np.array([150.0, 200.0, 400.0])
    slope = (steps @ growth) / (steps @ steps)
    error = sqrt(((growth - slope * steps) ** 2).sum() / 2 / (steps @ steps))
    found = grease_crossing(steps, growth + 50, LIMIT, 0)
    assert found.slope_um_d == pytest.approx(slope + stats.t.ppf(0.90, 2) * error)


def test_grease_crossing_when_read_on_the_cleaning_day_then_that_is_the_start() -> None:
    found = grease_crossing([0, 60], [200, 800], LIMIT, 0)
    assert (found.slope_um_d, found.readings) == (10.0, 1)


def test_grease_crossing_when_never_cleaned_then_from_the_first_reading() -> None:
    found = grease_crossing([100, 160], [200, 800], LIMIT)
    assert (found.slope_um_d, found.crossing_day) == (10.0, 160 + 120)


def test_grease_crossing_when_read_before_the_cleaning_then_left_out() -> None:
    found = grease_crossing([5, 40, 100], [1900, 1990, 800], LIMIT, 40.5)
    assert (found.readings, found.last_depth_um) == (1, 800)


# Slope by the middle: (350 - 50) / 30 = 10; distance left by the upper end: 2000 - 400.
def test_grease_crossing_of_a_comb_then_slope_by_middle_distance_by_upper_end() -> None:
    found = grease_crossing([30], [300], LIMIT, 0, high_um=[400])
    assert (found.slope_um_d, found.crossing_day) == (10.0, 30 + 160)


@pytest.mark.parametrize("depths", [[2000, 1000, 2000], [2500, 2400, 2300], [50, 60, 5000]])
def test_grease_crossing_when_last_at_the_limit_then_that_day(depths: list[float]) -> None:
    found = grease_crossing([10, 20, 30], depths, LIMIT, 0)
    assert (found.crossing_day, found.basis) == (30, GreaseBasis.AT_LIMIT)


def test_grease_crossing_when_an_inch_comb_is_at_the_limit_then_that_day() -> None:
    found = grease_crossing([30], [grease_depth_um(0.125, "in")], 3175.0)
    assert (found.crossing_day, found.basis) == (30, GreaseBasis.AT_LIMIT)


@pytest.mark.parametrize(
    ("days", "depths", "basis"),
    [
        ([30], [40], GreaseBasis.NO_GROWTH),  # thinner than cleaned to
        ([30, 60, 90], [50, 50, 50], GreaseBasis.NO_GROWTH),
        ([0], [80], GreaseBasis.NO_GROWTH),  # only the depth as left
        ([nan], [nan], GreaseBasis.NOTHING_READ),
        ([40000], [51], GreaseBasis.NO_GROWTH),  # would take more than a hundred years
    ],
)
def test_grease_crossing_when_nothing_grows_then_silent(
    days: list[float], depths: list[float], basis: GreaseBasis
) -> None:
    found = grease_crossing(days, depths, LIMIT, 0)
    assert (bool(np.isnan(found.crossing_day)), found.basis) == (True, basis)


# (2000 - 800) / 12.5 is 96 exactly; a float's last digit must not make it 95.
@pytest.mark.parametrize("begin", [0, 730_001, 739_987])
def test_grease_crossing_on_a_whole_day_then_not_a_day_early(begin: int) -> None:
    found = grease_crossing([begin + 60], [800], LIMIT, begin)
    assert found.crossing_day == begin + 156


def test_grease_crossing_with_other_settings_then_by_those() -> None:
    found = grease_crossing([60], [800], LIMIT, 0, params=GreaseLoad(cleaned_depth_um=200))
    assert found.slope_um_d == 10.0


DEPTH = st.integers(0, 1500)
PLACE = st.lists(st.tuples(st.integers(1, 60), DEPTH), min_size=1, max_size=6)


def series(steps: list[tuple[int, int]]) -> tuple[list[float], list[float]]:
    days = np.cumsum([gap for gap, _ in steps])
    return [float(each) for each in days], [float(depth) for _, depth in steps]


@given(st.lists(PLACE, min_size=1, max_size=5), st.sampled_from([nan, 0.0, 25.0]))
def test_grease_crossing_in_a_batch_then_as_each_alone(
    places: list[list[tuple[int, int]]], cleaned: float
) -> None:
    days, depths = np.full((2, len(places), 6), nan)
    for row, steps in enumerate(places):
        days[row, : len(steps)], depths[row, : len(steps)] = series(steps)
    together = grease_crossing(days, depths, LIMIT, cleaned).crossing_day
    alone = [grease_crossing(*series(steps), LIMIT, cleaned).crossing_day for steps in places]
    np.testing.assert_array_equal(together, alone)


# Rising readings, the last two a fortnight apart: nearer together, less scatter can flatten the
# upper slope by more than the worse reading adds (142, 148, 165 um on days 15, 16 and 23).
@given(PLACE, st.integers(1, 400))
def test_grease_crossing_when_last_reading_is_worse_then_never_later(
    steps: list[tuple[int, int]], more: int
) -> None:
    days, depths = series(steps)
    days[-1] += 14
    depths.sort()
    worse = [*depths[:-1], depths[-1] + more]
    before, after = (grease_crossing(days, each, LIMIT, 0).crossing_day for each in (depths, worse))
    assert np.isnan(before) or after <= before


@pytest.mark.parametrize(
    ("days", "low", "high", "message"),
    [
        ([1, 2], [50], [50], "shapes"),
        ([2, 1], [50, 60], [50, 60], "back in time"),
        ([1, 2], [50, 60], [50, 55], "lies below"),
        ([1, 2], [50, float("inf")], [50, float("inf")], "infinite"),
    ],
)
def test_grease_crossing_when_readings_make_no_series_then_error(
    days: list[float], low: list[float], high: list[float], message: str
) -> None:
    with pytest.raises(SeriesError, match=message):
        grease_crossing(days, low, LIMIT, 0, high_um=high)
