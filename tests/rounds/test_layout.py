"""Layouts and clocks, which know no tables."""

from __future__ import annotations

import datetime as dt
from uuid import UUID

import pytest

from schedules.rounds.clocks import shifted, week_named
from schedules.rounds.errors import WeekPlanError
from schedules.rounds.layout import LaidRound, LaidStop, Layout, as_json, from_json

DAY = dt.date(2026, 12, 7)
ONE, TWO, THREE = (UUID(int=number) for number in (1, 2, 3))


def laid(*stops: LaidStop) -> Layout:
    return Layout.of([LaidRound(5, DAY, stops)])


def test_layout_when_kept_and_read_back_then_the_same() -> None:
    told = laid(
        LaidStop(ONE, 7, ((1, ""), (1, "code_inspection")), True, TWO, 3, True, 20),
        LaidStop(TWO, 8),
    )
    assert from_json(as_json(told)) == told


def test_stops_when_side_by_side_at_one_site_then_one() -> None:
    told = laid(LaidStop(ONE, 7, ((1, ""),)), LaidStop(TWO, 7, ((2, ""),), True))
    assert [*told.stops_on((5, DAY))] == [LaidStop(ONE, 7, ((1, ""), (2, "")), True)]


def test_stops_when_both_are_booked_at_one_site_then_two() -> None:
    told = laid(LaidStop(ONE, 7, booking=ONE), LaidStop(TWO, 7, booking=TWO))
    assert len(told.stops_on((5, DAY))) == 2


def test_round_when_its_last_stop_goes_then_none() -> None:
    assert laid(LaidStop(ONE, 7)).without(ONE) == Layout({})


# ISO 8601: week 1 holds the year's first Thursday
def test_week_when_named_then_its_monday() -> None:
    assert [week_named(name) for name in ("2026-W53", " 2027-w1 ")] == [
        dt.date(2026, 12, 28), dt.date(2027, 1, 4),
    ]  # fmt: skip


@pytest.mark.parametrize("name", ["0001-W01", "9999-W52", "2026-W54", "+026-W49", "2026-W049"])
def test_week_when_nobody_could_mean_it_then_refused(name: str) -> None:
    with pytest.raises(WeekPlanError):
        week_named(name)


@pytest.mark.parametrize(
    ("minutes", "monday", "sunday"),
    [(0, ((30, 90),), ()), (60, ((90, 150),), ()), (-60, (), ((1410, 1470),))],
)
def test_hours_when_told_by_another_clock_then_on_the_day_they_begin(
    minutes: int, monday: tuple[tuple[int, int], ...], sunday: tuple[tuple[int, int], ...]
) -> None:
    week = shifted((((30, 90),), (), (), (), (), (), ()), [minutes] * 7)
    assert (week[0], week[6]) == (monday, sunday)
