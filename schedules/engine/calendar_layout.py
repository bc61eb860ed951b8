"""One operating calendar laid out as few pieces: ordinary weeks, and single days that differ.

A fan runs from the begin to the end of each span of the calendar period valid on the day the span
begins; before the first period that one is taken.  A span past midnight belongs to the day it
begins on (a closed day cancels all of it), but its minutes are counted on the days they fall on,
true minutes where the clocks change.  Overlapping spans are one: a fan runs once at a time.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from hashlib import blake2b

import numpy as np

from schedules.engine.clock_changes import (
    DAY_MINUTES,
    FIRST_DAY,
    LAST_DAY,
    ClockChange,
    changes_by_day,
    days_by_kind,
    elapsed_minutes,
)
from schedules.engine.errors import CalendarError
from schedules.engine.record import Calendar, CalendarPeriod
from schedules.engine.series import Ints

Stretches = tuple[tuple[float, float], ...]
Spans = tuple[tuple[int, int], ...]

ALWAYS: tuple[Spans, ...] = (((0, DAY_MINUTES),),) * 7


@dataclass(frozen=True)
class Layout:
    """A calendar as P pieces, each running until the next begins, the last until LAST_DAY.

    start_day : int64, shape (P,) [ordinal], FIRST_DAY first
    minutes : int64, shape (P,), running minutes from the first piece's midnight to this one's
    row : int64, shape (P,), row of ``prefix`` by which the piece runs
    prefix : int64, shape (R, 15), running minutes of the first 0 to 14 days of a week from Monday
    """

    start_day: Ints
    minutes: Ints
    row: Ints
    prefix: Ints


@lru_cache(maxsize=1024)
def fingerprint(calendar: Calendar) -> int:
    """A number for a calendar, never 0; 64 bits, so that no two of a fleet share theirs."""
    digest = blake2b(repr(calendar).encode(), digest_size=8).digest()
    return int.from_bytes(digest, "little", signed=True) or 1


def minutes_into(prefix: Ints, row: Ints, start_day: Ints, days: Ints) -> Ints:
    """Running minutes of the first ``days`` days of pieces, each by its ``row`` of ``prefix``."""
    weeks, rest = np.divmod(days, 7)
    weekday = (start_day - 1) % 7
    partial = prefix[row, weekday + rest] - prefix[row, weekday]
    return np.asarray(weeks * prefix[row, 7] + partial)


def run_stretches(calendar: Calendar, day: int) -> Stretches:
    """True minutes since ``day``'s midnight [begin, end) in which the calendar runs, in order."""
    changes = changes_by_day(calendar.zone).get(day, ())
    return _merged(_begun(calendar, day - 1), _begun(calendar, day), changes)


def run_minutes(stretches: Stretches, until: float = float("inf")) -> float:
    """Minutes run before ``until`` [true minutes since midnight]."""
    return sum(max(0.0, min(until, end) - begin) for begin, end in stretches)


@lru_cache(maxsize=1024)
def lay_out(calendar: Calendar) -> Layout:
    """Lay out a calendar from FIRST_DAY to LAST_DAY.

    Raises CalendarError for spans that are no spans, no period at all, or an unknown zone.
    """
    for problem in _problems(calendar):
        raise CalendarError(problem)
    periods = _periods(calendar)
    begins = [FIRST_DAY, *(max(period.valid_from_day, FIRST_DAY) for period in periods[1:])]
    weeks = [_week(period) for period in periods]
    odd = _odd_days(calendar, begins, weeks)
    odd_minutes = sorted(set(odd.values()))
    rows = np.array([*weeks, *((minutes,) * 7 for minutes in odd_minutes)], np.int64)
    starts = {day + 1: bisect_right(begins, day + 1) - 1 for day in odd}
    starts |= {begin: row for row, begin in enumerate(begins)}
    starts |= {day: len(weeks) + odd_minutes.index(minutes) for day, minutes in odd.items()}
    return _pieces({day: row for day, row in starts.items() if day < LAST_DAY}, rows)


def _pieces(starts: dict[int, int], rows: Ints) -> Layout:
    start_day, row = (
        np.array(side, np.int64) for side in zip(*sorted(starts.items()), strict=True)
    )
    prefix = np.zeros((len(rows), 15), np.int64)
    prefix[:, 1:] = np.cumsum(np.tile(rows, 2), axis=1)
    lengths = np.diff(start_day, append=LAST_DAY)
    each = minutes_into(prefix, row, start_day, lengths)
    return Layout(start_day, np.cumsum(each) - each, row, prefix)


def _odd_days(
    calendar: Calendar, begins: list[int], weeks: list[tuple[int, ...]]
) -> dict[int, int]:
    """Running minutes of every day that may not run as its week says."""
    suspects = set(begins[1:])
    for day in calendar.closed_days:
        suspects |= {day, day + 1}
    for row, period in enumerate(_periods(calendar)):
        end = [*begins, LAST_DAY][row + 1]
        for (weekday, changes), days in days_by_kind(calendar.zone).items():
            if _usual_minutes(period, weekday, changes) != weeks[row][weekday]:
                suspects |= {day for day in days if begins[row] <= day < end}
    return {
        day: round(run_minutes(run_stretches(calendar, day)))
        for day in suspects
        if FIRST_DAY <= day < LAST_DAY
    }


def _week(period: CalendarPeriod) -> tuple[int, ...]:
    return tuple(_usual_minutes(period, weekday, ()) for weekday in range(7))


def _usual_minutes(period: CalendarPeriod, weekday: int, changes: tuple[ClockChange, ...]) -> int:
    spans = _spans(period)
    return round(run_minutes(_merged(spans[weekday - 1], spans[weekday], changes)))


def _merged(before: Spans, today: Spans, changes: tuple[ClockChange, ...]) -> Stretches:
    """What yesterday's and today's spans run today, in true minutes, joined where they meet."""
    merged: list[tuple[float, float]] = []
    wall = (*((begin - DAY_MINUTES, end - DAY_MINUTES) for begin, end in before), *today)
    for begin, end in sorted(_true(begin, end, changes) for begin, end in wall):
        if begin >= end:
            continue
        if merged and begin <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(end, merged[-1][1]))
        else:
            merged.append((begin, end))
    return tuple(merged)


def _true(begin: int, end: int, changes: tuple[ClockChange, ...]) -> tuple[float, float]:
    return (
        elapsed_minutes(changes, max(begin, 0)),
        elapsed_minutes(changes, min(end, DAY_MINUTES)),
    )


def _begun(calendar: Calendar, day: int) -> Spans:
    """Spans that begin on ``day``; none on a closed day."""
    if day in calendar.closed_days:
        return ()
    periods = _periods(calendar)
    valid = bisect_right(periods, day, key=lambda period: period.valid_from_day) - 1
    return _spans(periods[max(valid, 0)])[(day - 1) % 7]


def _periods(calendar: Calendar) -> tuple[CalendarPeriod, ...]:
    return tuple(sorted(calendar.periods, key=lambda period: period.valid_from_day))


def _spans(period: CalendarPeriod) -> tuple[Spans, ...]:
    return ALWAYS if period.always else period.spans


def _problems(calendar: Calendar) -> Iterator[str]:
    if not calendar.periods:
        yield "the calendar has no period; give at least one, with its opening hours"
    begins = Counter(period.valid_from_day for period in calendar.periods)
    for begin in (begin for begin, periods in begins.items() if periods > 1):
        yield f"{begins[begin]} periods from day {begin}; give one, with that day's opening hours"
    for period in calendar.periods:
        spans = _spans(period)
        if len(spans) != 7:
            yield f"{len(spans)} weekdays; give seven, Monday first, empty ones too"
        for begin, end in (span for of_day in spans for span in of_day):
            if not 0 <= begin < DAY_MINUTES or not begin < end <= begin + DAY_MINUTES:
                yield f"a span from {begin} to {end}; give minutes of the day, at most a day long"
