"""The oracle's grease dates against the given projection and lines drawn by hand."""

from __future__ import annotations

from math import sqrt

import pytest

from schedules.engine.record import Action, Event, Grease, Look, Machine
from tests.engine.fans import day, fan, iso
from tests.engine.given import case
from tests.oracle.asked import asked
from tests.oracle.grease import Depth, slope_um_a_day

LIMIT_UM = 2000.0


def depth(on: str, low_um: float, high_um: float | None = None, **facts: object) -> Look:
    comb = Grease("duct", low_um, low_um if high_um is None else high_um, LIMIT_UM)
    return Look(day(on), grease=(comb,), **facts)  # type: ignore[arg-type]


def cleaned(on: str, minute: int | None = None) -> Event:
    places = frozenset({"duct"})
    return Event("hood_cleaning", day(on), day(on), end_minute=minute, places=places)


def read(days: list[int], depths_um: list[float]) -> list[Depth]:
    return [Depth(d, um, um, LIMIT_UM) for d, um in zip(days, depths_um, strict=True)]


# NF-04: (800 - 50) / 60 d = 12.5 um/d; the limit is met on 2025-06-11, hand computed there.
def test_grease_when_read_once_since_cleaning_then_the_given_crossing() -> None:
    inputs, expected = case("NF-04")
    cleaning, reading = inputs["cleaned"][0], inputs["reading"]
    record = fan(events=(cleaned(cleaning),), looks=(depth(reading[0], reading[1]),))
    due = iso(day(expected["crossing_date"]) - 14)
    assert asked(record, 4) == [(due, expected["crossing_date"])]


def test_grease_when_the_comb_gives_an_interval_then_its_upper_end_meets_the_limit() -> None:
    record = fan(events=(cleaned("2025-01-06"),), looks=(depth("2025-03-07", 700, 900),))
    assert asked(record, 4)[0][1] == "2025-06-03"  # (2000 - 900) / 12.5 = 88 days


def test_grease_when_left_thicker_than_clean_then_the_line_starts_there() -> None:
    left = depth("2025-01-06", 200, stage="as_left")
    record = fan(events=(cleaned("2025-01-06"),), looks=(left, depth("2025-03-07", 800)))
    assert asked(record, 4)[0][1] == "2025-07-05"  # 600 / 60 = 10 um/d; 120 days


def test_grease_when_left_reading_came_before_the_cleaning_then_not_as_left() -> None:
    left = depth("2025-01-06", 200, stage="as_left", minute=600)
    looks = (left, depth("2025-03-07", 800))
    assert asked(fan(events=(cleaned("2025-01-06", 700),), looks=looks), 4)[0][1] == "2025-06-11"


def test_grease_when_at_the_limit_then_due_the_next_day() -> None:
    record = fan(events=(cleaned("2025-01-06"),), looks=(depth("2025-03-07", 1900, 2000),))
    assert asked(record, 4) == [("2025-03-08", "2025-03-08")]


@pytest.mark.parametrize("looks", [(), (depth("2025-03-07", 50),), (depth("2025-03-07", 40),)])
def test_grease_when_nothing_grew_then_silent(looks: tuple[Look, ...]) -> None:
    assert asked(fan(events=(cleaned("2025-01-06"),), looks=looks), 4) == []


def test_grease_when_never_cleaned_then_the_first_reading_starts_the_line() -> None:
    record = fan(looks=(depth("2025-01-06", 100), depth("2025-03-07", 700)))
    assert asked(record, 4)[0][1] == "2025-07-15"  # 10 um/d; 1300 / 10 = 130 days


def test_grease_when_cleaned_since_then_silent() -> None:
    looks = (depth("2025-03-07", 1900),)
    wiped = Action("cleaned", "duct", day("2025-03-08"))
    assert asked(fan(events=(cleaned("2025-01-06"),), looks=looks, actions=(wiped,)), 4) == []


def test_grease_when_the_machine_is_new_then_its_housing_is_clean() -> None:
    comb = Grease("housing", 1000, 1000, 3175)
    machines = (Machine(1), Machine(day("2025-02-01"), first=False))
    assert asked(fan(machines=machines, looks=(Look(day("2025-01-20"), grease=(comb,)),)), 4) == []


# Through (0, 0): (10 x 100 + 20 x 300) / (100 + 400) = 14.
def test_slope_when_two_readings_then_least_squares_through_the_start() -> None:
    assert slope_um_a_day((0, 0.0), read([10, 20], [100, 300])) == 14


def test_slope_when_the_last_two_are_steeper_then_theirs() -> None:
    assert slope_um_a_day((0, 0.0), read([10, 30], [100, 700])) == 30


# Slope 10 exactly but for residuals +30, 0, -10 (normal to the days): sum of squares 1,000 over
# 2 degrees of freedom, days squared 1,400; Student's t at 0.90 with 2 is 1.8856 (tables).
def test_slope_when_three_readings_then_its_upper_edge() -> None:
    depths = read([10, 20, 30], [130, 200, 290])
    expected = 10 + 1.885618 * sqrt(1000 / 2 / 1400)
    assert slope_um_a_day((0, 0.0), depths) == pytest.approx(expected, rel=1e-6)
