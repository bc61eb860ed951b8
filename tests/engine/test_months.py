"""Months by the calendar against the examples of python-dateutil's documentation."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from schedules.engine import next_inspection_day
from schedules.engine.errors import SeriesError
from schedules.engine.months import add_months
from tests.engine.fans import day, iso
from tests.engine.given import case

DAYS = st.dates(date(1990, 1, 1), date(2090, 1, 1))


# CA-13, python-dateutil documentation, relativedelta examples.
@pytest.mark.parametrize("which", range(11))
def test_add_months_on_month_ends_and_leap_days_then_clamped(which: int) -> None:
    inputs, expected = case("CA-13")
    begin, step = inputs["items"][which]
    months = step.get("months", 0) + 12 * step.get("years", 0)
    assert iso(int(add_months(day(begin), months))) == expected["dates"][which]


@given(DAYS, st.integers(-30, 30), st.integers(0, 12))
def test_next_inspection_day_then_as_relativedelta_from_the_anchor(
    anchor: date, months: int, n: int
) -> None:
    expected = (anchor + relativedelta(months=months * n)).toordinal()
    assert next_inspection_day(anchor.toordinal(), months, n) == expected


def test_next_inspection_day_after_february_then_day_of_anchor_again() -> None:
    found = next_inspection_day(day("2025-01-31"), 1, [1, 2, 3])
    assert [iso(int(d)) for d in found] == ["2025-02-28", "2025-03-31", "2025-04-30"]


# Fractions are thirty-day months, rounded down: 0.75 x 30 = 22.5.
@pytest.mark.parametrize(
    ("months", "expected"),
    [(0.5, "2025-01-30"), (0.75, "2025-02-06"), (1.5, "2025-03-02"), (2.3, "2025-03-24")],
)
def test_add_months_with_a_fraction_then_days_after_the_whole(months: float, expected: str) -> None:
    assert iso(int(add_months(day("2025-01-15"), months))) == expected


def test_add_months_of_many_then_as_each_alone() -> None:
    days = np.array([day("2024-02-29"), day("2025-08-31")])
    alone = [int(add_months(d, m)) for d, m in zip(days, (12, 0.5), strict=True)]
    assert add_months(days, [12, 0.5]).tolist() == alone


@pytest.mark.parametrize("months", [-0.5, float("nan")])
def test_add_months_when_months_mean_nothing_then_error(months: float) -> None:
    with pytest.raises(SeriesError, match="months"):
        add_months(day("2025-01-15"), months)
