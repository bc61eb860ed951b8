"""The slow reckoning of weeks agrees with Python's calendar and the zone database."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest

from schedules.proofs.slow_weeks import ZONES, Roof, local_time, owed_at, week_of, when

JUNE = dt.datetime(2026, 6, 15, 14, tzinfo=dt.UTC)
"""A Monday, 9 in the morning in Chicago."""


def roof(**other: object) -> Roof:
    facts = {
        "owner_id": 1, "kitchen": ("A", 1), "zone": "America/Chicago",
        "overdue_after": dt.date(2026, 6, 14), "waits_until": None,
    }  # fmt: skip
    return Roof(**{**facts, **other})  # type: ignore[arg-type]


# Reference: the IANA time zone database, as zoneinfo reads it.
@pytest.mark.parametrize("zone", ZONES)
def test_local_time_then_as_the_zone_database_has_it_every_half_hour(zone: str) -> None:
    begin = dt.datetime(2026, 1, 1, tzinfo=dt.UTC)
    moments = [begin + dt.timedelta(minutes=30 * number) for number in range(2 * 24 * 400)]
    known = ZoneInfo(zone)
    wrong = [
        at for at in moments if local_time(at, zone) != at.astimezone(known).replace(tzinfo=None)
    ]
    assert wrong == []


# Reference: zoneinfo; a clock that shows an hour twice is asked for the first time it does.
@pytest.mark.parametrize("zone", ZONES)
def test_when_then_as_the_zone_database_has_it_each_morning(zone: str) -> None:
    days = [dt.date(2026, 1, 1) + dt.timedelta(days=number) for number in range(400)]
    told = [dt.datetime.combine(day, dt.time(8), ZoneInfo(zone)) for day in days]
    assert [when(day, 8, zone) for day in days] == told


# Reference: datetime.date.isocalendar.
def test_week_then_as_the_calendar_has_it_for_thirty_years() -> None:
    days = [dt.date(2010, 1, 1) + dt.timedelta(days=number) for number in range(30 * 366)]
    told = ["{}-W{:02d}".format(*day.isocalendar()[:2]) for day in days]
    assert [week_of(day) for day in days] == told


@pytest.mark.parametrize(
    ("facts", "owed"),
    [
        ({}, {(1, "2026-W25")}),
        ({"overdue_after": dt.date(2026, 6, 15)}, set()),
        ({"overdue_after": None}, set()),
        ({"zone": "America/Los_Angeles"}, set()),
        ({"waits_until": dt.date(2026, 6, 16)}, set()),
        ({"waits_until": dt.date(2026, 6, 15)}, {(1, "2026-W25")}),
    ],
)
def test_owed_when_overdue_here_and_at_work_then_this_week(
    facts: dict[str, object], owed: set[tuple[int, str]]
) -> None:
    assert owed_at([roof(**facts)], JUNE) == owed


def test_owed_when_two_kitchens_stand_apart_then_the_first_by_name_decides() -> None:
    far = roof(kitchen=("B", 2), zone="Asia/Kolkata")
    assert owed_at([far, roof()], JUNE) == {(1, "2026-W25")}
    assert owed_at([far], JUNE) == set()
