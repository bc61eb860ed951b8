"""One operating calendar laid out as few pieces: ordinary weeks, and single days that differ.

A fan runs in every minute whose wall clock, in the site's zone, reads within a span of the calendar
period valid on the day the span begins.  Wall minutes that a clock change skips are not run, those
it repeats are run twice.  A span past midnight belongs to the day it begins on (a closed day
cancels all of it), but its minutes are counted on the days they fall on.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from schedules.engine.clock_changes import (
    DAY_MINUTES,
    FIRST_DAY,
    LAST_DAY,
    Stretches,
    changes_by_day,
    stretches_by_day,
    wall_stretches,
)
from schedules.engine.errors import CalendarError
from schedules.engine.record import Calendar, CalendarPeriod
from schedules.engine.series import Ints

WHOLE_DAY: Stretches = ((0, DAY_MINUTES),)
ALWAYS = (WHOLE_DAY,) * 7


@dataclass(frozen=True)
class Layout:
    """A calendar as P pieces, each running until the next begins, the last until LAST_DAY.

    start_day : int64, shape (P,) [ordinal], the first day any period is valid first
    minutes : int64, shape (P,), running minutes from the first piece's midnight to this one's
    row : int64, shape (P,), row of ``prefix`` by which the piece runs
    prefix : int64, shape (R, 15), running minutes of the first 0 to 14 days of a week from Monday
    """

    start_day: Ints
    minutes: Ints
    row: Ints
    prefix: Ints


def minutes_into(prefix: Ints, start_day: Ints, days: Ints) -> Ints:
    """Running minutes of the first ``days`` days of pieces; ``prefix`` has the piece's row each."""
    weekday, weeks, rest = (start_day - 1) % 7, days // 7, days % 7
    each = np.arange(len(start_day))
    partial = prefix[each, weekday + rest] - prefix[each, weekday]
    return np.asarray(weeks * prefix[:, 7] + partial)


def spans_of(period: CalendarPeriod) -> tuple[Stretches, ...]:
    """A period's spans by weekday, Monday first."""
    return ALWAYS if period.always else period.spans


def open_stretches(calendar: Calendar, day: int) -> Stretches:
    """Wall minutes of ``day`` [begin, end) in which the calendar runs, merged, in order."""
    late = [(begin - DAY_MINUTES, end - DAY_MINUTES) for begin, end in _begun(calendar, day - 1)]
    return _merged((*late, *_begun(calendar, day)))


def covered_minutes(stretches: Stretches, begin: float, end: float) -> float:
    """How much of [begin, end) lies in ``stretches``."""
    return sum(max(0, min(end, high) - max(begin, low)) for low, high in stretches)


@lru_cache(maxsize=1024)
def lay_out(calendar: Calendar) -> Layout:
    """Lay out a calendar from its first valid day.

    Raises CalendarError for spans that overlap or are no spans, periods that share a day, no period
    at all, or a zone nobody knows.
    """
    periods = _checked(calendar)
    begins = [max(period.valid_from_day, FIRST_DAY) for period in periods]
    ends = [*begins[1:], LAST_DAY]
    weeks = [_week(period) for period in periods]
    odd = _odd_days(calendar, begins, ends, weeks)
    rows = np.array([*weeks, *((minutes,) * 7 for minutes in sorted(set(odd.values())))], np.int64)
    place = {minutes: len(weeks) + i for i, minutes in enumerate(sorted(set(odd.values())))}
    ordinary = {day + 1: _period_at(begins, day + 1) for day in odd}
    starts = ordinary | dict(zip(begins, range(len(begins)), strict=True))
    starts |= {day: place[minutes] for day, minutes in odd.items()}
    return _pieces({day: row for day, row in starts.items() if day < LAST_DAY}, rows)


def _pieces(starts: dict[int, int], rows: Ints) -> Layout:
    start_day, row = (
        np.array(side, np.int64) for side in zip(*sorted(starts.items()), strict=True)
    )
    prefix = np.zeros((len(rows), 15), np.int64)
    prefix[:, 1:] = np.cumsum(np.tile(rows, 2), axis=1)
    lengths = np.diff(start_day, append=LAST_DAY)
    each = minutes_into(prefix[row], start_day, lengths)
    return Layout(start_day, np.cumsum(each) - each, row, prefix)


def _odd_days(
    calendar: Calendar, begins: list[int], ends: list[int], weeks: list[tuple[int, ...]]
) -> dict[int, int]:
    """Running minutes of every day that may not run as its week says."""
    suspects = set(begins)
    for day in calendar.closed_days:
        suspects |= {day, day + 1}
    for period, begin, end, week in zip(calendar.periods, begins, ends, weeks, strict=True):
        for (stretches, weekday), days in stretches_by_day(calendar.zone).items():
            usual = _usual(period, weekday)
            if sum(covered_minutes(usual, *part) for part in stretches) != week[weekday]:
                suspects |= {day for day in days if begin <= day < end}
    changes = changes_by_day(calendar.zone)
    return {
        day: _minutes(open_stretches(calendar, day), wall_stretches(changes.get(day, ())))
        for day in suspects
        if begins[0] <= day < LAST_DAY
    }


def _minutes(running: Stretches, day: Stretches) -> int:
    return int(sum(covered_minutes(running, *part) for part in day))


def _usual(period: CalendarPeriod, weekday: int) -> Stretches:
    spans = spans_of(period)
    late = [(begin - DAY_MINUTES, end - DAY_MINUTES) for begin, end in spans[weekday - 1]]
    return _merged((*late, *spans[weekday]))


def _week(period: CalendarPeriod) -> tuple[int, ...]:
    return tuple(_minutes(_usual(period, weekday), WHOLE_DAY) for weekday in range(7))


def _begun(calendar: Calendar, day: int) -> Stretches:
    """Spans that begin on ``day``; none before the first period or on a closed day."""
    at = _period_at([period.valid_from_day for period in calendar.periods], day)
    if at < 0 or day in calendar.closed_days:
        return ()
    return spans_of(calendar.periods[at])[(day - 1) % 7]


def _period_at(begins: list[int], day: int) -> int:
    return bisect_right(begins, day) - 1


def _merged(spans: Iterable[tuple[int, int]]) -> Stretches:
    """Cut spans to one day and join those that touch."""
    merged: list[tuple[int, int]] = []
    for begin, end in sorted((max(b, 0), min(e, DAY_MINUTES)) for b, e in spans):
        if begin >= end:
            continue
        if merged and begin <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(end, merged[-1][1]))
        else:
            merged.append((begin, end))
    return tuple(merged)


def _checked(calendar: Calendar) -> tuple[CalendarPeriod, ...]:
    if not calendar.periods:
        raise CalendarError("the calendar has no period; say at least from when it is valid")
    begins = [period.valid_from_day for period in calendar.periods]
    if begins != sorted(set(begins)):
        raise CalendarError(f"periods begin on days {begins}; give each its own day, in time order")
    if begins[-1] >= LAST_DAY:
        raise CalendarError(
            f"a period begins on day {begins[-1]}, after {LAST_DAY}; correct its year"
        )
    for period in calendar.periods:
        for problem in _problems(spans_of(period)):
            raise CalendarError(f"period from day {period.valid_from_day}: {problem}")
    return calendar.periods


def _problems(spans: tuple[Stretches, ...]) -> Iterator[str]:
    if len(spans) != 7:
        yield f"{len(spans)} weekdays; give seven, Monday first, empty ones too"
        return
    for weekday, of_day in enumerate(spans):
        for begin, end in of_day:
            if not 0 <= begin < DAY_MINUTES or not begin < end <= begin + DAY_MINUTES:
                yield f"weekday {weekday} has the span {begin} to {end}; give minutes of the day"
    flat = sorted(
        (weekday * DAY_MINUTES + begin, weekday * DAY_MINUTES + end)
        for weekday, of_day in enumerate(spans)
        for begin, end in of_day
    )
    following = [*flat[1:], *((b + 7 * DAY_MINUTES, e) for b, e in flat[:1])]
    for (_, end), (begin, _) in zip(flat, following, strict=True):
        if begin < end:
            yield f"spans overlap by {end - begin} minutes; join them into one"
