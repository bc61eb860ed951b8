"""Letters told beforehand come on the days that a calendar of 2026 gives by hand."""

from __future__ import annotations

import datetime as dt

import pytest

from schedules.proofs.slow_letters import (
    advice_dues,
    awake_from,
    critical_dues,
    day_dues,
    made_safe_dues,
    no_access_dues,
    said_dues,
    weekly_dues,
)

CHICAGO, BERLIN = "America/Chicago", "Europe/Berlin"
OCTOBER_21 = dt.date(2026, 10, 21)
"""A Wednesday; Berlin's clocks go back on Sunday 25, Chicago's a week later."""


def utc(text: str) -> dt.datetime:
    return dt.datetime.fromisoformat(f"2026-{text}+00:00")


# DEVELOPERS.md, "Letters": 3, 10 and 21 days after, on the next working morning.
def test_advice_when_its_days_are_no_working_days_then_the_next_ones() -> None:
    assert advice_dues(4, BERLIN, OCTOBER_21) == {
        "advice.owner-4.2026-10-26": utc("10-26 07:00"),  # Saturday 24
        "advice.owner-4.2026-11-02": utc("11-02 07:00"),  # Saturday 31
        "advice.owner-4.2026-11-12": utc("11-12 07:00"),  # Wednesday 11, a holiday
    }


def test_advice_when_put_off_then_on_that_day_and_ten_and_21_after() -> None:
    days = advice_dues(1, CHICAGO, dt.date(2026, 11, 3), put_off=True)
    assert [key[-5:] for key in days] == ["11-03", "11-13", "11-24"]


# Summer time in Chicago is five hours behind UTC, winter time six.
@pytest.mark.parametrize(
    ("at", "awake"),
    [
        ("10-21 11:59", "10-21 12:00"),
        ("10-21 12:01", "10-21 12:01"),
        ("10-22 01:59", "10-22 01:59"),
        ("10-22 02:00", "10-22 12:00"),
        ("11-02 12:30", "11-02 13:00"),
    ],
)
def test_alarm_when_people_sleep_then_from_seven_on(at: str, awake: str) -> None:
    assert awake_from(utc(at), CHICAGO) == utc(awake)


def test_stop_then_told_to_owner_and_people_by_their_own_clocks() -> None:
    dues = critical_dues(7, OCTOBER_21, utc("10-21 06:00"), (4, BERLIN), [(2, CHICAGO)])
    assert dues == {
        "critical.owner-4.fan-7.2026-10-21.stop": utc("10-21 06:00"),
        "critical.person-2.fan-7.2026-10-21.stop": utc("10-21 12:00"),
    }


def test_fan_out_of_service_then_chased_every_second_working_day_and_later_every_fifth() -> None:
    dues = made_safe_dues(7, OCTOBER_21, utc("10-21 15:00"), 4, CHICAGO)
    days = [f"{at:%m-%d}" for at in dues.values()]
    assert days[:6] == ["10-21", "10-23", "10-27", "10-29", "11-02", "11-04"]
    assert days[6:8] == ["11-12", "11-19"]
    assert list(dues)[6] == "made-safe.owner-4.fan-7.2026-10-21.open.6"


def test_day_when_changed_before_it_was_told_then_told_once() -> None:
    changes = [utc("10-23 14:59"), utc("10-24 09:00")]
    assert day_dues(3, dt.date(2026, 10, 26), BERLIN, changes) == {
        "day.person-3.2026-10-26": utc("10-23 15:00"),  # Friday, 17 o'clock
        "day.person-3.2026-10-26.2": utc("10-24 09:00"),
    }


def test_weekly_letters_when_monday_is_a_holiday_then_on_tuesday() -> None:
    # 25 December 2023 was a Monday, in the last ISO week of that year
    dues = weekly_dues(dt.date(2023, 12, 24), 4, CHICAGO, [2], [1])
    tuesday = dt.datetime(2023, 12, 26, 12, tzinfo=dt.UTC)
    assert dues == {"monday.person-2.2023-W52": tuesday, "summary.person-1.2023-W51": tuesday}


def test_answer_then_told_to_each_at_once() -> None:
    at = utc("10-21 15:00")
    assert said_dues("told", ["person-2", "person-3"], "x", at) == {
        "told.person-2.x": at, "told.person-3.x": at,
    }  # fmt: skip


# Berlin's people are at work from 8 to 17, 6 to 15 UTC in summer time.
@pytest.mark.parametrize(
    ("at", "due"),
    [
        ("10-21 05:30", "10-21 06:00"),
        ("10-21 09:10", "10-21 09:10"),
        ("10-21 15:00", "10-22 06:00"),
        ("10-23 16:00", "10-26 07:00"),  # Friday evening; the clocks go back on Sunday
    ],
)
def test_roof_when_shut_twice_then_told_in_the_next_working_hour(at: str, due: str) -> None:
    assert no_access_dues(4, 9, OCTOBER_21, utc(at), BERLIN) == {
        "no-access.owner-4.site-9.2026-10-21": utc(due)
    }
