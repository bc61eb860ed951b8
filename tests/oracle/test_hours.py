"""The oracle's running hours against the clocks of real zones, tables and sums by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from math import nan
from zoneinfo import ZoneInfo

import pytest

from schedules.engine.record import Action, Calendar, CalendarPeriod, Machine, MeterReading
from tests.engine.fans import day, fan
from tests.engine.given import case
from tests.oracle.asked import asked
from tests.oracle.hours import calendar_hours_on, running_hours_on, total
from tests.oracle.reckon import oracle_reckon
from tests.oracle.regrease import regrease_interval_h

ALWAYS = (CalendarPeriod(1, always=True),)
TEN_HOURS = Calendar("UTC", (CalendarPeriod(1, (((600, 1200),),) * 7),))
MOTOR = Machine(day("2025-01-01"), rpm=1140.0, bore_mm=25.0, bearings="greased", vertical=False)


def hours(calendar: Calendar, first: str, last: str) -> float:
    return total(lambda d: calendar_hours_on(calendar, d), day(first), day(last))


# CA-15, IANA time zone database: New York's short and long night of 2025, and Phoenix's usual.
def test_hours_when_the_clock_changes_at_night_then_true_hours() -> None:
    inputs, expected = case("CA-15")
    run = []
    for shift in inputs["shifts"]:
        night = datetime.fromisoformat(shift["start"]).date()
        spans = tuple(((1320, 1800),) if d == night.weekday() else () for d in range(7))
        calendar = Calendar(shift["zone"], (CalendarPeriod(1, spans),))
        run.append(hours(calendar, night.isoformat(), shift["end"][:10]))
    assert run == expected["hours"]


# CA-17: a year, a month with a short day and one with a long day, never closing.
def test_hours_when_never_closed_then_every_hour_of_the_zone() -> None:
    inputs, expected = case("CA-17")
    calendar = Calendar(inputs["zone"], ALWAYS)
    run = [hours(calendar, first, last) for first, last in inputs["periods"]]
    over = [calendar_hours_on(calendar, day(last)) for _, last in inputs["periods"]]
    assert [h - extra for h, extra in zip(run, over, strict=True)] == expected["hours"]


# Minute by minute by the zone database: a minute counts if its wall clock is in a span.
@pytest.mark.parametrize("zone", ["America/New_York", "Australia/Lord_Howe"])
def test_hours_when_counted_minute_by_minute_then_the_same(zone: str) -> None:
    calendar = Calendar(zone, (CalendarPeriod(1, (((600, 1500), (1440, 1560)),) * 7),))
    since = datetime(2025, 4, 1, tzinfo=ZoneInfo(zone)).timestamp()
    walls = (datetime.fromtimestamp(since + 60 * n, ZoneInfo(zone)) for n in range(11 * 1440))
    inside = sum(w.day <= 10 and (w.hour >= 10 or w.hour < 2) for w in walls) / 60
    assert hours(calendar, "2025-04-01", "2025-04-10") == pytest.approx(inside)


def test_hours_when_closed_then_the_evening_is_gone_with_its_night() -> None:
    spans = (((1320, 1560),),) * 7
    calendar = Calendar("UTC", (CalendarPeriod(1, spans),), closed_days=(day("2025-05-02"),))
    assert [calendar_hours_on(calendar, day(f"2025-05-0{d}")) for d in (1, 2, 3)] == [4, 2, 2]


# Handbook formula with K 10: 23,561 h at 1140 rpm and 25 mm (own arithmetic of the formula),
# 11,654.4757746368 h at 1450 rpm and 50 mm (case BE-03).
def test_regrease_when_bore_is_known_then_by_the_handbook() -> None:
    inputs, expected = case("BE-03")
    bearing = inputs["bearings"][0]
    motor = replace(MOTOR, rpm=float(bearing["rpm"]), bore_mm=float(bearing["bore_mm"]))
    assert regrease_interval_h(motor) == pytest.approx(expected["interval_h"][0])


@pytest.mark.parametrize(
    ("change", "interval_h"),
    [
        ({"vertical": True}, 11781),
        ({"temperature_c": 85.0}, 11781),
        ({"temperature_c": 40.0}, 47123),
    ],
)
def test_regrease_when_vertical_hot_or_cool_then_corrected(
    change: dict[str, object], interval_h: float
) -> None:
    assert regrease_interval_h(replace(MOTOR, **change)) == pytest.approx(interval_h, abs=1)  # type: ignore[arg-type]


# W28: frame 286T at 1750 rpm in severe service, 0.5 x 9,500 h (motor maker's table).
def test_regrease_when_only_the_frame_is_known_then_by_the_motor_table() -> None:
    assert regrease_interval_h(replace(MOTOR, bore_mm=nan, frame=286, rpm=1750.0)) == 4750


def test_regrease_when_the_maker_asks_for_less_then_the_makers() -> None:
    assert regrease_interval_h(replace(MOTOR, maker_regrease_h=2000.0)) == 2000


# 1,000 h at 10 h a day from the day after: 100 days.
def test_running_hours_when_ten_a_day_then_the_hundredth_day() -> None:
    motor = replace(MOTOR, maker_regrease_h=1000.0)
    record = fan(machines=(motor,), calendar=TEN_HOURS)
    assert asked(record, 3) == [("2025-04-11", "2025-04-18")]


def test_running_hours_when_greased_then_count_anew() -> None:
    motor = replace(MOTOR, maker_regrease_h=1000.0)
    greased = Action("regreased", "bearings", day("2025-03-01"))
    assert (
        asked(fan(machines=(motor,), calendar=TEN_HOURS, actions=(greased,)), 3)[0][0]
        == "2025-06-09"
    )


@pytest.mark.parametrize(
    ("machine", "calendar", "code"),
    [
        (replace(MOTOR, rpm=nan), TEN_HOURS, "no_speed"),
        (replace(MOTOR, bore_mm=nan), TEN_HOURS, "no_bore"),
        (replace(MOTOR, bearings="", belt_drive=True), TEN_HOURS, "no_bearing_data"),
        (MOTOR, None, "no_calendar"),
    ],
)
def test_running_hours_when_something_is_missing_then_says_what(
    machine: Machine, calendar: Calendar | None, code: str
) -> None:
    told = oracle_reckon(fan(machines=(machine,), calendar=calendar)).cannot_tell
    assert told == tuple(sorted(["no_inspection", code]))


@pytest.mark.parametrize("bearings", ["sealed", ""])
def test_running_hours_when_nothing_can_be_greased_then_silent(bearings: str) -> None:
    assert asked(fan(machines=(replace(MOTOR, bearings=bearings),), calendar=TEN_HOURS), 3) == []


def metered(*readings: tuple[str, float], digits: int = 6) -> tuple[MeterReading, ...]:
    return tuple(MeterReading(day(on), hours, "", digits) for on, hours in readings)


# 100 days metered at 5 h against 10 h by the calendar: half, before and after the last reading.
def test_meter_when_it_runs_half_the_calendar_then_so_do_the_hours() -> None:
    hours_on = running_hours_on(TEN_HOURS, metered(("2025-01-01", 0.0), ("2025-04-11", 500.0)))
    on = ("2025-01-01", "2025-01-02", "2025-04-11", "2025-06-01")
    assert [hours_on(day(d)) for d in on] == [10, 5, 5, 5]


def test_meter_when_it_rolls_over_then_goes_on_counting() -> None:
    meter = metered(("2025-01-01", 9900.0), ("2025-04-11", 400.0), digits=4)
    assert running_hours_on(TEN_HOURS, meter)(day("2025-06-01")) == 5


@pytest.mark.parametrize("hours", [199.0, 2401.0])
def test_meter_when_not_to_be_believed_then_set_aside_whole(hours: float) -> None:
    hours_on = running_hours_on(TEN_HOURS, metered(("2025-01-01", 0.0), ("2025-04-11", hours)))
    assert [hours_on(day(d)) for d in ("2025-02-01", "2025-06-01")] == [10, 10]


@pytest.mark.parametrize(("hours", "a_day"), [(200.0, 2), (2400.0, 24)])
def test_meter_when_just_to_be_believed_then_used(hours: float, a_day: float) -> None:
    hours_on = running_hours_on(TEN_HOURS, metered(("2025-01-01", 0.0), ("2025-04-11", hours)))
    assert hours_on(day("2025-06-01")) == pytest.approx(a_day)


def test_meter_when_replaced_then_the_new_one_counts_from_its_own_first_reading() -> None:
    old = metered(("2025-01-01", 0.0), ("2025-04-11", 500.0))
    new = (
        MeterReading(day("2025-04-11"), 0.0, "new"),
        MeterReading(day("2025-05-01"), 160.0, "new"),
    )
    assert running_hours_on(TEN_HOURS, old + new)(day("2025-06-01")) == 8


def test_meter_when_the_latest_stretch_is_short_then_the_ratio_reaches_back_ninety_days() -> None:
    readings = (
        ("2025-01-01", 0.0),
        ("2025-01-11", 20.0),
        ("2025-04-01", 420.0),
        ("2025-04-11", 470.0),
    )
    hours_on = running_hours_on(TEN_HOURS, metered(*readings))
    assert hours_on(day("2025-06-01")) == pytest.approx(450 / 90)
