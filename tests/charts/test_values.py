"""The upright scale: every value in its place, round ticks, limits in sight."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from schedules.charts import Chart, Limit, Point, Series
from schedules.charts.values import ValueScale, nice_step, scale_of

VALUES = st.floats(1e-3, 1e6)


def chart(*values: float, limits: tuple[float, ...] = (), **more: bool) -> Chart:
    points = [Point(n, value, str(value)) for n, value in enumerate(values)]
    named = [Limit(value, "limit") for value in limits]
    return Chart("Amps", "A", [Series("Leg A", points)], named, **more)  # type: ignore[arg-type]


def test_scale_when_linear_then_values_stand_in_proportion() -> None:
    scale = ValueScale(0, 10, 100)
    assert [scale.y(value) for value in (0, 2.5, 10)] == [100, 75, 0]


def test_scale_when_by_powers_then_each_power_takes_the_same_room() -> None:
    scale = ValueScale(1, 1000, 90, is_log=True)
    assert [scale.y(value) for value in (1, 10, 100, 1000)] == [90, 60, 30, 0]


def test_scale_when_value_lies_outside_then_on_the_edge() -> None:
    scale = ValueScale(0, 10, 100)
    assert (scale.y(-5), scale.y(50)) == (100, 0)


@pytest.mark.parametrize(
    ("least", "step"),
    [(0.9, 1), (1.0, 1), (1.01, 2), (2.1, 2.5), (2.6, 5), (60, 100), (0.03, 0.05)],
)
def test_step_when_chosen_then_the_next_round_one(least: float, step: float) -> None:
    assert nice_step(least) == pytest.approx(step)


def test_ticks_when_linear_then_round_and_evenly_apart() -> None:
    assert ValueScale(0, 7.7, 100).ticks() == [0, 2, 4, 6]


def test_ticks_when_by_powers_then_the_powers() -> None:
    assert ValueScale(1, 1000, 100, is_log=True).ticks() == [1, 10, 100, 1000]


def test_scale_when_limits_lie_above_then_only_the_first_is_kept_in_sight() -> None:
    high = scale_of(chart(2, 3, limits=(4.5, 7.1, 9)), 100).high
    assert 4.5 < high < 7.1


def test_scale_when_all_is_far_from_zero_then_it_fits_what_is_drawn() -> None:
    scale = scale_of(chart(200, 202, limits=(187, 253), from_zero=False), 100)
    assert (180 < scale.low < 187, 253 < scale.high < 260) == (True, True)


@given(st.lists(VALUES, min_size=1, max_size=8), st.booleans(), st.booleans())
def test_scale_when_made_for_values_then_all_lie_within(
    values: list[float], is_log: bool, from_zero: bool
) -> None:
    scale = scale_of(chart(*values, is_log=is_log, from_zero=from_zero), 100)
    slack = 1 + 1e-9
    assert scale.low / slack <= min(values) <= max(values) <= scale.high * slack


@given(st.lists(VALUES, min_size=2, max_size=8, unique=True), st.booleans())
def test_scale_when_a_value_is_greater_then_it_never_stands_lower(
    values: list[float], is_log: bool
) -> None:
    scale = scale_of(chart(*values, is_log=is_log), 100)
    places = [scale.y(value) for value in sorted(values)]
    assert all(below >= above for below, above in pairwise(places))


@given(st.lists(VALUES, min_size=1, max_size=8), st.booleans())
def test_ticks_when_made_then_a_few_within_the_scale(values: list[float], from_zero: bool) -> None:
    scale = scale_of(chart(*values, from_zero=from_zero), 100)
    ticks = scale.ticks()
    slack = (scale.high - scale.low) * 1e-6
    assert 2 <= len(ticks) <= 6
    assert all(scale.low - slack <= tick <= scale.high + slack for tick in ticks)
