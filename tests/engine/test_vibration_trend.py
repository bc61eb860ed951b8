"""Rule 5c by Sen's published example, by scipy, and by examples worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from schedules.engine.parameters import DueParams
from schedules.engine.record import FanRecord
from tests.engine.fans import day, days, fan, iso, rule_date, walk
from tests.engine.given import case
from tests.engine.shaking import ALARM, felt, shaken, shook

FIRST = day("2025-01-01")


def rising(*values: float, every: int = 20, **facts: object) -> FanRecord:
    """A reading every so many days from FIRST."""
    looks = (shook(iso(FIRST + every * place), value) for place, value in enumerate(values))
    return shaken(*looks, **facts)


STEADY = (2.0, 2.5, 3.0, 3.5, 4.0, 4.5)
"""0.025 mm/s a day; from 4.5 on day 100 the alarm of 12.7 is 328 days off."""


# TR-04, Sen (1968): slope 4, upper limit 4.375 at 93 %, intercept 6.  His x as fortnights, his y
# as micrometres a second so that no level is reached.
def test_trend_of_sens_example_then_his_upper_slope() -> None:
    inputs, expected = case("TR-04")
    looks = (
        shook(iso(FIRST + 14 * x), y / 100) for x, y in zip(inputs["x"], inputs["y"], strict=True)
    )
    params = DueParams().overridden({"trend.level": inputs["confidence"]})
    found = rule_date(shaken(*looks), 5, params)
    assert found is not None
    assert found.args["slope_mm_s_d"] == pytest.approx(expected["upper"] / 14 / 100)
    last = expected["intercept_median_of_residuals"] + expected["slope"] * inputs["x"][-1]
    assert found.args["value_mm_s"] == pytest.approx(last / 100)


# All slopes alike: the crossing is day 100 + 328, half of it 164 days.
def test_trend_without_scatter_then_half_way_to_the_alarm() -> None:
    found = rule_date(rising(*STEADY), 5)
    assert found is not None
    assert (found.due_day - FIRST, found.overdue_after_day - FIRST) == (264, 271)
    assert found.args["crossing_day"] - FIRST == 428


# A walk-through before half the time is gone makes the look needless: 14 weeks from day 100.
@pytest.mark.parametrize(("left_mm_s", "speaks"), [(2.0, True), (4.0, False)])
def test_trend_when_the_next_walk_through_comes_first_then_silent(
    left_mm_s: float, speaks: bool
) -> None:
    shift = ALARM - left_mm_s - STEADY[-1]
    record = rising(*(value + shift for value in STEADY))
    walked = fan(looks=(*record.looks, walk(iso(FIRST + 99))))
    whys = {rule_date(walked, 5).why} if rule_date(walked, 5) else set()  # type: ignore[union-attr]
    assert ("trend" in whys) is speaks


@pytest.mark.parametrize(
    ("values", "every"),
    [
        (STEADY[:4], 20),  # four readings
        (STEADY, 11),  # 55 days
        ((3.0, 3.5, 3.0, 3.5, 3.0, 3.5), 20),  # Kendall's p is 0.3
        (STEADY[::-1], 20),  # falling
        ((3.0,) * 6, 20),
    ],
)
def test_trend_without_enough_to_show_one_then_silent(
    values: tuple[float, ...], every: int
) -> None:
    assert days(rising(*values, every=every), 5) is None


# Of the 120 orders of five readings, 5 have at most one pair out of order: p is 0.042; 29 have at
# most three: 0.242.
@pytest.mark.parametrize(
    ("values", "speaks"), [((2, 3, 2.9, 3.4, 3.8), True), ((3, 2, 2.9, 3.9, 3.8), False)]
)
def test_trend_with_readings_out_of_order_then_by_the_exact_test(
    values: tuple[float, ...], speaks: bool
) -> None:
    exact = stats.kendalltau(range(5), values, method="exact", alternative="greater").pvalue
    assert bool(exact <= 0.05) is speaks
    assert (days(rising(*values), 5) is not None) is speaks


# scipy's Theil-Sen takes the pairs of all readings; at 20 days apart so do we.
def test_trend_with_scatter_then_the_slope_scipy_finds() -> None:
    values = (2.0, 2.4, 3.1, 3.3, 4.2, 4.4, 5.2)
    at = np.arange(7) * 20.0
    found = rule_date(rising(*values), 5)
    assert found is not None
    slope, _, _, upper = stats.theilslopes(values, at, alpha=0.80)
    assert found.args["slope_mm_s_d"] == pytest.approx(upper)
    fitted = np.median(np.array(values) - slope * at) + slope * at[-1]
    assert found.args["value_mm_s"] == pytest.approx(fitted)


# The fitted value has reached the alarm while no reading yet was judged so: a week.
def test_trend_at_the_alarm_while_no_level_stands_then_a_week() -> None:
    values = (9.7, 10.3, 10.9, 11.5, 12.1, 12.7)
    record = shaken(*(shook(iso(FIRST + 20 * i), v, "within") for i, v in enumerate(values)))
    assert days(record, 5) == ("2025-04-18", "2025-04-18")


def test_trend_at_the_alarm_while_an_act_stands_then_left_to_the_level() -> None:
    found = rule_date(rising(9.7, 10.3, 10.9, 11.5, 12.1, 12.7), 5)
    assert found is not None
    assert found.why == "level"


def test_trend_after_a_reading_by_hand_then_goes_on() -> None:
    looks = (*rising(*STEADY).looks, felt(iso(FIRST + 110), "none"))
    assert days(shaken(*looks), 5) == days(rising(*STEADY), 5)


def test_trend_with_qualified_readings_among_them_then_without_these() -> None:
    looks = (*rising(*STEADY).looks, shook(iso(FIRST + 50), 9.9, "within", exact=False))
    assert days(shaken(*looks), 5) == days(rising(*STEADY), 5)


# Pairs nearer than 14 days tell noise: two readings of one morning change nothing but the ranks.
def test_trend_with_readings_close_together_then_slopes_of_far_pairs_only() -> None:
    looks = (*rising(*STEADY).looks, shook(iso(FIRST + 101), 4.525))
    found = rule_date(shaken(*looks), 5)
    assert found is not None
    assert found.args["slope_mm_s_d"] == pytest.approx(0.025, rel=1e-6)


def test_trend_when_readings_come_in_another_order_then_same_dates() -> None:
    record = rising(2.0, 2.4, 3.1, 3.3, 4.2, 4.4, 5.2)
    assert days(shaken(*record.looks[::-1]), 5) == days(record, 5)


# Weekly for three years: far more than the usual row holds.
def test_trend_of_a_long_series_then_reckoned_in_a_wider_row() -> None:
    found = rule_date(rising(*(2 + 0.01 * week for week in range(150)), every=7), 5)
    assert found is not None
    assert found.args["readings"] == 150
