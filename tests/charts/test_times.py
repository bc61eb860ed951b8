"""The shared time axis: months where the calendar has them, names that fit a phone."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from schedules.charts import TimeScale
from schedules.charts.times import MOST_NAMED, time_scale


def scale(first: str, last: str) -> TimeScale:
    return TimeScale(date.fromisoformat(first).toordinal(), date.fromisoformat(last).toordinal())


def named(times: TimeScale) -> list[str]:
    return [f"{tick.month} {tick.year}".strip() for tick in times.ticks() if tick.month]


def test_axis_when_a_day_is_half_way_then_in_the_middle() -> None:
    times = TimeScale(100, 200)
    assert [times.x(day) for day in (100, 150, 200)] == ["0.00%", "50.00%", "100.00%"]


def test_axis_when_short_then_every_month_is_named_and_the_year_once() -> None:
    assert named(scale("2026-01-20", "2026-05-10")) == ["Feb 2026", "Mar", "Apr", "May"]


def test_axis_when_it_crosses_new_year_then_both_years_are_named() -> None:
    assert named(scale("2025-10-15", "2026-02-15")) == ["Nov 2025", "Dec", "Jan 2026", "Feb"]


def test_axis_when_a_year_and_a_half_then_every_quarter_is_named() -> None:
    told = named(scale("2025-05-25", "2026-11-24"))
    assert told == ["Jul 2025", "Oct", "Jan 2026", "Apr", "Jul", "Oct"]


def test_axis_when_long_then_only_years() -> None:
    assert named(scale("2010-05-25", "2026-11-24")) == ["Jan 2015", "Jan 2020", "Jan 2025"]


def test_axis_when_a_month_begins_then_its_tick_stands_on_that_day() -> None:
    times = scale("2026-01-20", "2026-05-10")
    march = next(tick for tick in times.ticks() if tick.month == "Mar")
    assert march.x == times.x(date(2026, 3, 1).toordinal())


@given(st.integers(700_000, 740_000), st.integers(1, 9_000))
def test_axis_when_any_length_then_names_fit_beside_each_other(first: int, days: int) -> None:
    assert len(named(TimeScale(first, first + days))) <= MOST_NAMED + 1


@pytest.mark.parametrize("days", [[], [739_000], [738_000, 739_000]])
def test_axis_when_made_then_it_shows_today_and_every_day(days: list[int]) -> None:
    times = time_scale(days, 739_400)
    assert all(times.shows(day) for day in [*days, 739_400])
