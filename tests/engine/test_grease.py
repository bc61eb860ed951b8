"""Rule 4 by an outside case and by lines worked out by hand."""

from __future__ import annotations

import pytest

from fleet.quantities import GREASE_PLACES
from schedules.engine.record import Action, Event, FanRecord, Grease, Look, Machine
from tests.engine.fans import day, days, fan, iso, rule_date
from tests.engine.given import case

CLEANED = "2025-01-06"
LIMIT_UM = {"hood": 2000.0, "duct": 2000.0, "housing": 3175.0}


def comb(
    on: str, low: float, high: float | None = None, place: str = "duct", **facts: object
) -> Look:
    depth = Grease(place, low, low if high is None else high, LIMIT_UM[place])
    return Look(day(on), grease=(depth,), **facts)  # type: ignore[arg-type]


def cleaned(on: str = CLEANED, *places: str, minute: int | None = None) -> Event:
    return Event(
        "hood_cleaning", day(on), day(on), end_minute=minute, places=frozenset(places or ("duct",))
    )


def cleaned_fan(*looks: Look, **facts: object) -> FanRecord:
    return fan(**{"events": (cleaned(),), "looks": looks, **facts})


def told(record: FanRecord, name: str) -> float:
    found = rule_date(record, 4)
    assert found is not None
    return found.args[name]


# NF-04: 50 um on the day of cleaning, 800 um sixty days later: 12.5 um a day, so 2000 um on
# 2025-06-11; the look is 14 days before.
def test_grease_with_one_reading_then_the_published_crossing() -> None:
    inputs, expected = case("NF-04")
    on, depth_um = inputs["reading"]
    record = cleaned_fan(comb(on, depth_um))
    assert days(record, 4) == ("2025-05-28", expected["crossing_date"])
    assert told(record, "slope_um_d") == expected["rate_um_per_day"]


def test_grease_never_read_then_silent() -> None:
    assert days(cleaned_fan(), 4) is None


def test_grease_that_does_not_grow_then_silent() -> None:
    assert days(cleaned_fan(comb("2025-03-07", 50)), 4) is None


# Crossing 9 days after the last look: the look is tomorrow at the earliest.
def test_grease_near_its_limit_then_due_the_next_day_at_the_earliest() -> None:
    record = cleaned_fan(comb("2025-03-07", 1750))
    assert days(record, 4) == ("2025-03-08", "2025-03-15")


# At its limit the crossing is the day read, whatever the slope.
@pytest.mark.parametrize("depth_um", [2000, 2600])
def test_grease_at_or_over_its_limit_then_overdue_the_next_day(depth_um: float) -> None:
    record = cleaned_fan(comb("2025-03-07", depth_um))
    assert days(record, 4) == ("2025-03-08", "2025-03-08")


# The line goes through the middle, 1,000 um: (1000 - 50) / 60 = 15.83 um a day; what is left is
# counted from the upper end: (2000 - 1250) / 15.83 = 47.4 d after 2025-03-07.
def test_grease_read_as_an_interval_then_middle_for_slope_and_upper_end_for_what_is_left() -> None:
    record = cleaned_fan(comb("2025-03-07", 750, 1250))
    assert days(record, 4) == ("2025-04-09", "2025-04-23")


def test_grease_left_by_the_cleaning_then_the_line_starts_there() -> None:
    left = comb(CLEANED, 350, stage="as_left")
    assert told(cleaned_fan(left, comb("2025-03-07", 950)), "slope_um_d") == 10


# Looks of the cleaning's day: later by the clock is the depth as left, earlier is grease now gone.
@pytest.mark.parametrize(("minute", "slope"), [(900, 10), (500, 15), (None, 15)])
def test_grease_found_on_the_day_of_cleaning_then_counts_if_later(
    minute: int | None, slope: float
) -> None:
    looks = (comb(CLEANED, 350, minute=minute), comb("2025-03-07", 950))
    record = cleaned_fan(*looks, events=(cleaned(minute=600),))
    assert told(record, "slope_um_d") == slope


# Nothing on record but looks: the first is the start.
def test_grease_without_a_cleaning_then_from_the_first_reading() -> None:
    record = fan(looks=(comb("2025-01-06", 200), comb("2025-03-07", 800)))
    assert told(record, "slope_um_d") == 10


# Held at 50 um on the day of cleaning: (30 x 300 + 44 x 700) / (30 x 30 + 44 x 44) = 14.03 um a
# day, but the last two are 14 d apart and their slope is 400 / 14 = 28.57 um a day.
def test_grease_that_grows_faster_of_late_then_by_the_last_two() -> None:
    record = cleaned_fan(comb("2025-02-05", 350), comb("2025-02-19", 750))
    found = rule_date(record, 4)
    assert found is not None
    assert found.why == "last_two"
    assert told(record, "slope_um_d") == pytest.approx(400 / 14)


def test_grease_read_twice_within_two_weeks_then_by_the_line() -> None:
    record = cleaned_fan(comb("2025-02-05", 350), comb("2025-02-18", 750))
    by_hand = (30 * 300 + 43 * 700) / (30**2 + 43**2)
    assert told(record, "slope_um_d") == pytest.approx(by_hand)


# Three readings, held at 50 um on the day of cleaning: least squares by hand, its standard error
# with two degrees, and Student's t for 90 % on one side, 1.886 in any table.
def test_grease_with_three_readings_then_the_upper_slope() -> None:
    looks = (comb("2025-02-05", 330), comb("2025-03-07", 680), comb("2025-04-06", 940))
    slope = (30 * 280 + 60 * 630 + 90 * 890) / 12_600
    scatter = sum((y - slope * x) ** 2 for x, y in ((30, 280), (60, 630), (90, 890)))
    by_hand = slope + 1.8856 * (scatter / 2 / 12_600) ** 0.5
    assert told(cleaned_fan(*looks), "slope_um_d") == pytest.approx(by_hand, rel=1e-4)


def test_grease_of_two_places_then_each_by_its_own_cleaning_and_the_earlier_is_named() -> None:
    looks = (comb("2025-03-07", 800), comb("2025-03-07", 1550, place="hood"))
    record = fan(events=(cleaned(CLEANED, "duct", "hood"),), looks=looks)
    assert GREASE_PLACES[int(told(record, "place"))] == "hood"


# 3175 um in a housing: (3175 - 50) / 12.5 = 250 days from the cleaning.
@pytest.mark.parametrize(
    "facts",
    [
        {"events": (cleaned(CLEANED, "housing"),)},
        {"events": (), "actions": (Action("cleaned", "housing", day(CLEANED)),)},
        {"events": (), "machines": (Machine(1), Machine(day(CLEANED), first=False))},
    ],
)
def test_grease_in_a_housing_then_from_its_cleaning_or_a_new_machine(
    facts: dict[str, object],
) -> None:
    record = cleaned_fan(comb("2025-03-07", 800, place="housing"), **facts)
    assert days(record, 4) == ("2025-08-30", "2025-09-13")


def test_grease_when_cleaned_again_then_earlier_readings_are_gone() -> None:
    again = Event("hood_cleaning", day("2025-03-20"), day("2025-03-20"), places=frozenset({"duct"}))
    record = cleaned_fan(comb("2025-03-07", 800), events=(cleaned(), again))
    assert days(record, 4) is None


def test_grease_when_another_place_was_cleaned_then_nothing_changes() -> None:
    hood = cleaned("2025-03-20", "hood")
    looks = (comb("2025-03-07", 800),)
    assert days(cleaned_fan(*looks, events=(cleaned(), hood)), 4) == days(cleaned_fan(*looks), 4)


def test_grease_when_looks_come_in_another_order_then_same_dates() -> None:
    looks = (comb("2025-02-05", 330), comb("2025-03-07", 680), comb("2025-04-06", 940))
    assert days(cleaned_fan(*looks[::-1]), 4) == days(cleaned_fan(*looks), 4)


# More grease at the last look never means later.
@pytest.mark.parametrize("depth_um", range(700, 2100, 100))
def test_grease_deeper_at_the_last_of_two_looks_then_never_later(depth_um: int) -> None:
    first = comb("2025-02-05", 330)
    less, more = (
        rule_date(cleaned_fan(first, comb("2025-03-07", depth)), 4)
        for depth in (depth_um, depth_um + 100)
    )
    assert less is not None
    assert more is not None
    assert iso(more.due_day) <= iso(less.due_day)


# A look every week and never a cleaning: more than the usual row holds, and still reckoned.
def test_grease_with_more_readings_than_usual_then_reckoned_in_a_wider_row() -> None:
    start = day("2025-01-06")
    looks = tuple(comb(iso(start + 7 * week), 100 + 70 * week) for week in range(20))
    assert told(fan(looks=looks), "readings") == 19
