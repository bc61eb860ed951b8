"""Places laid flat, against degrees worked out by hand and great circles; bars to measure by."""

from __future__ import annotations

from math import hypot, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from schedules.engine.rounds.travel import great_circle_m
from schedules.rounds.map.ground import KM_M, MILE_M, Bar, Frame, Ground, bar_of

DEGREE_M = 111_194.93
"""A degree of a great circle by hand: 2 x 3.14159265 x 6,371,000 m / 360."""


def test_ground_when_a_degree_apart_at_60_degrees_then_half_as_far_east_as_north() -> None:
    # cos 60 degrees is a half: Snyder (1987), equation 12-1, with lat1 = 60
    ground = Ground.around([(59.5, 10.0), (60.5, 11.0)])
    east, north = ground.flat((60.5, 11.0))
    assert (east, north) == pytest.approx((DEGREE_M / 4, DEGREE_M / 2))


def test_ground_when_it_lies_across_the_180th_meridian_then_near_all_the_same() -> None:
    ground = Ground.around([(0.0, 179.9), (0.0, -179.9)])
    assert ground.flat((0.0, -179.9))[0] == pytest.approx(DEGREE_M / 10)


@given(
    latitude=st.floats(-60, 60),
    there=st.tuples(st.floats(-0.3, 0.3), st.floats(-0.3, 0.3)),
)
def test_ground_when_a_county_is_laid_flat_then_ways_are_as_long_as_on_the_sphere(
    latitude: float, there: tuple[float, float]
) -> None:
    here, place = (latitude, 20.0), (latitude + there[0], 20.0 + there[1])
    ground = Ground.around([here, place])
    flat = hypot(*(a - b for a, b in zip(ground.flat(here), ground.flat(place), strict=True)))
    assert flat == pytest.approx(float(great_circle_m(here, place)), rel=1e-4, abs=0.1)


def test_frame_when_ground_is_tall_then_as_high_as_may_be_and_north_above() -> None:
    frame = Frame.around([(-5_000.0, -20_000.0), (5_000.0, 20_000.0)], 400.0, 440.0, 20.0)
    # 40 km on 400 px: 10 px to the kilometre
    assert (frame.height, frame.at((5_000.0, 20_000.0))) == (440.0, (250.0, 20.0))


def test_frame_when_there_is_one_place_then_in_the_middle_of_a_kilometre() -> None:
    frame = Frame.around([(0.0, 0.0)], 400.0, 540.0, 20.0)
    assert (frame.px_per_m, frame.at((0.0, 0.0))) == (0.36, (200.0, 200.0))


@pytest.mark.parametrize(("unit_m", "bar"), [
    # 18 km have room: 10 km of 10 px each; 11.18 miles: 10 of 16.09 px, the mile being 1,609.344 m
    (KM_M, Bar(10.0, 100.0)), (MILE_M, Bar(10.0, 160.9)),
])  # fmt: skip
def test_bar_when_there_is_room_then_the_longest_round_one(unit_m: float, bar: Bar) -> None:
    assert bar_of(unit_m, 0.01, 180.0) == bar


@pytest.mark.parametrize(("px_per_m", "km"), [(0.36, 0.2), (0.05, 2.0), (0.02, 5.0), (0.1, 1.0)])
def test_bar_when_drawn_larger_or_smaller_then_one_two_or_five(px_per_m: float, km: float) -> None:
    assert bar_of(KM_M, px_per_m, 100.0).units == km


def test_degree_when_worked_out_then_that_of_the_engines_sphere() -> None:
    assert pytest.approx(2 * pi * 6_371_000 / 360) == DEGREE_M
