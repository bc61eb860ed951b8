"""Rule 3 by outside cases and by hours counted by hand."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt

import pytest

from schedules.engine.due import reckon_one
from schedules.engine.record import Action, Calendar, CalendarPeriod, Machine, MeterReading
from tests.engine.fans import day, days, fan, iso, rule_date
from tests.engine.given import case

NEW_YEAR = "2025-01-01"
TEN_HOURS = (((600, 1200),),) * 7
KITCHEN = Calendar("America/Phoenix", (CalendarPeriod(1, TEN_HOURS),))
"""Ten hours every day, where clocks never change."""

SHAFT = Machine(day(NEW_YEAR), rpm=1750, bearings="greased", maker_regrease_h=300)


def hours_fan(machine: Machine = SHAFT, **facts: object) -> object:
    return fan(**{"machines": (machine,), "calendar": KITCHEN, **facts})


def shaft(**facts: object) -> Machine:
    return replace(SHAFT, **facts)


def read(on: str, hours: float, meter: str = "m", digits: int = 6) -> MeterReading:
    return MeterReading(day(on), hours, meter, digits)


def told(record: object, name: str) -> float:
    found = rule_date(record, 3)  # type: ignore[arg-type]
    assert found is not None
    return found.args[name]


# 300 h at 10 h a day from the day after installation: the 30th day, 2025-01-31.
def test_hours_when_never_greased_then_they_run_from_the_machines_date() -> None:
    assert days(hours_fan(), 3) == ("2025-01-31", "2025-02-07")


def test_hours_when_greased_then_they_run_from_the_day_after() -> None:
    greased = Action("regreased", "bearings", day("2025-01-21"))
    assert days(hours_fan(actions=(greased,)), 3) == ("2025-02-20", "2025-02-27")


@pytest.mark.parametrize(
    "greased",
    [Action("regreased", "bearings", day("2024-12-21")), Action("cleaned", "bearings", 739300)],
)
def test_hours_when_another_machine_was_greased_or_only_cleaned_then_not_done(
    greased: Action,
) -> None:
    assert told(hours_fan(actions=(greased,)), "never_done") == 1


def test_hours_on_closed_days_then_none_run() -> None:
    closed = replace(KITCHEN, closed_days=(day("2025-01-10"), day("2025-01-11")))
    assert days(hours_fan(calendar=closed), 3) == ("2025-02-02", "2025-02-09")


# 24 h days: 300 h end with the 12.5th day.
def test_hours_of_a_kitchen_that_never_closes_then_by_true_days() -> None:
    always = Calendar("America/Phoenix", (CalendarPeriod(1, always=True),))
    assert days(hours_fan(calendar=always), 3) == ("2025-01-14", "2025-01-21")


# BE-03, tribology handbook A20: a 50 mm ball bearing at 1,450 rpm, 11,654.48 h; a standing shaft
# halves it.
@pytest.mark.parametrize(("vertical", "share"), [(False, 1.0), (True, 0.5)])
def test_interval_by_the_handbook_then_as_published(vertical: bool, share: float) -> None:
    inputs, expected = case("BE-03")
    ball = inputs["bearings"][0]
    machine = shaft(
        rpm=ball["rpm"], bore_mm=ball["bore_mm"], vertical=vertical, maker_regrease_h=float("nan")
    )
    found = told(hours_fan(machine), "interval_h")
    assert found == pytest.approx(expected["interval_h"][0] * share, rel=1e-6)


# W28, a motor manual's example: frame 286, 1,750 rpm, severe duty: 0.5 x 9,500 h.
def test_interval_by_the_motors_frame_then_as_published() -> None:
    machine = shaft(frame=286, vertical=False, maker_regrease_h=float("nan"))
    assert told(hours_fan(machine), "interval_h") == 4750


@pytest.mark.parametrize(("maker_h", "why"), [(300, "maker_interval"), (1e6, "bearing_interval")])
def test_interval_when_maker_and_handbook_differ_then_the_shorter(maker_h: float, why: str) -> None:
    found = rule_date(hours_fan(shaft(bore_mm=25, maker_regrease_h=maker_h)), 3)
    assert found is not None
    assert found.why == why


# Handbook: halved for every 15 K above 70 deg C.
def test_interval_of_a_hot_bearing_then_halved_by_fifteen_kelvin() -> None:
    hot = shaft(bore_mm=25, maker_regrease_h=float("nan"), temperature_c=85)
    by_hand = 10 * (14e6 / (1750 * sqrt(25)) - 4 * 25) / 2 / 2
    assert told(hours_fan(hot), "interval_h") == pytest.approx(by_hand)


@pytest.mark.parametrize(
    ("machine", "missing"),
    [
        (shaft(rpm=float("nan")), "no_speed"),
        (shaft(maker_regrease_h=float("nan")), "no_bore"),
        (shaft(bearings="", belt_drive=True), "no_bearing_data"),
    ],
)
def test_hours_when_something_is_missing_then_cannot_tell(machine: Machine, missing: str) -> None:
    assert missing in reckon_one(hours_fan(machine)).cannot_tell


def test_hours_without_a_calendar_then_cannot_tell() -> None:
    found = reckon_one(hours_fan(calendar=None))
    assert "no_calendar" in found.cannot_tell
    assert all(date.rule != 3 for date in found.dates)


@pytest.mark.parametrize("bearings", ["sealed", ""])
def test_hours_of_sealed_bearings_or_an_untold_direct_drive_then_silent(bearings: str) -> None:
    found = reckon_one(hours_fan(shaft(bearings=bearings)))
    assert all(date.rule != 3 for date in found.dates)
    assert found.cannot_tell == ("no_inspection",)


# 100 days of 5 h by the meter (500 h) where the calendar says 1,000: 700 h of 1,200 are left, at
# half of 10 h a day 140 days from 2025-04-12.
def test_meter_that_runs_half_the_calendar_then_half_beyond_its_last_reading() -> None:
    meter = (read("2025-01-01", 100), read("2025-04-11", 600))
    fan_ = hours_fan(shaft(maker_regrease_h=1200), meter=meter)
    assert days(fan_, 3) == ("2025-08-29", "2025-09-05")
    assert told(fan_, "ratio") == 0.5
    assert told(fan_, "known_hours") == 500


# The same meter had shown 300 h after 60 days.
def test_meter_when_hours_ran_out_between_readings_then_spread_by_the_calendar() -> None:
    meter = (read("2025-01-01", 100), read("2025-04-11", 600))
    assert days(hours_fan(meter=meter), 3) == ("2025-03-02", "2025-03-09")


def test_meter_when_it_rolled_over_then_its_digits_are_added() -> None:
    plain = (read("2025-01-01", 100), read("2025-04-11", 600))
    rolled = (read("2025-01-01", 99_800, digits=5), read("2025-04-11", 300, digits=5))
    machine = shaft(maker_regrease_h=1200)
    assert days(hours_fan(machine, meter=rolled), 3) == days(hours_fan(machine, meter=plain), 3)


# A second meter counts anew: 50 d x 5 h by the first, 50 d x 4 h by the second; the ratio is the
# second's alone.
def test_meter_when_replaced_then_each_counts_its_own_days() -> None:
    meter = (
        read("2025-01-01", 100, "a"), read("2025-02-20", 350, "a"),
        read("2025-02-20", 0, "b"), read("2025-04-11", 200, "b"),
    )  # fmt: skip
    fan_ = hours_fan(shaft(maker_regrease_h=1200), meter=meter)
    assert (told(fan_, "known_hours"), told(fan_, "ratio")) == (450, pytest.approx(0.4))


# The ratio reaches back to the latest reading at least 90 days before the last one.
@pytest.mark.parametrize(("second", "ratio"), [("2025-01-11", 0.4), ("2025-01-12", 0.5)])
def test_meter_with_many_readings_then_ratio_over_ninety_days(second: str, ratio: float) -> None:
    gained = (day(second) - day("2025-01-01")) * 10
    last = gained + round((day("2025-04-11") - day(second)) * 4) if ratio == 0.4 else 500
    meter = (read("2025-01-01", 0), read(second, gained), read("2025-04-11", last))
    found = told(hours_fan(shaft(maker_regrease_h=9000), meter=meter), "ratio")
    assert found == pytest.approx(ratio)


# Mean 10 h a day: at most 2.4 times that can be true, below a fifth nobody believes.
@pytest.mark.parametrize(("hours_a_day", "meter"), [(1.9, 2), (2.0, 1), (24.0, 1), (24.5, 2)])
def test_meter_beyond_what_can_be_then_set_aside(hours_a_day: float, meter: int) -> None:
    readings = (read("2025-01-01", 0), read("2025-04-11", 100 * hours_a_day))
    assert told(hours_fan(meter=readings), "meter") == meter


# One reading tells no hours (0); where the first lies after the greasing, the days before it have
# the calendar's (3).
@pytest.mark.parametrize(
    ("begun", "meter"), [(("2025-04-11",), 0), (("2025-02-01", "2025-04-11"), 3)]
)
def test_meter_that_does_not_tell_all_then_says_so(begun: tuple[str, ...], meter: int) -> None:
    readings = tuple(read(on, 100 + 500 * place) for place, on in enumerate(begun))
    assert told(hours_fan(meter=readings), "meter") == meter


def test_meter_set_aside_then_calendar_alone() -> None:
    readings = (read("2025-01-01", 0), read("2025-04-11", 10))
    assert days(hours_fan(meter=readings), 3) == days(hours_fan(), 3)


# No hours by the calendar while the meter ran 300 h in 60 days: 5 h a day, evenly.
def test_meter_in_a_time_the_calendar_has_no_hours_then_spread_evenly() -> None:
    periods = (CalendarPeriod(1), CalendarPeriod(day("2025-03-02"), TEN_HOURS))
    kitchen = replace(KITCHEN, periods=periods)
    readings = (read("2025-01-01", 0), read("2025-03-01", 295), read("2025-06-09", 1295))
    fan_ = hours_fan(shaft(maker_regrease_h=100), calendar=kitchen, meter=readings)
    assert days(fan_, 3) == ("2025-01-21", "2025-01-28")


def test_meter_when_order_of_readings_differs_then_same_dates() -> None:
    meter = (read("2025-01-01", 100), read("2025-02-11", 305), read("2025-04-11", 600))
    assert days(hours_fan(meter=meter[::-1]), 3) == days(hours_fan(meter=meter), 3)


# More hours never move the day later.
@pytest.mark.parametrize("hours_a_day", range(2, 24))
def test_hours_when_the_meter_runs_faster_then_never_later(hours_a_day: int) -> None:
    slow, fast = (
        rule_date(
            hours_fan(
                shaft(maker_regrease_h=4000),
                meter=(read("2025-01-01", 0), read("2025-04-11", 100 * each)),
            ),
            3,
        )
        for each in (hours_a_day, hours_a_day + 1)
    )
    assert slow is not None
    assert fast is not None
    assert iso(fast.due_day) <= iso(slow.due_day)
