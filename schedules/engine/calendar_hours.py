"""Running hours between two moments, and the day on which so many hours run out, for many fans."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import ArrayLike, NDArray

from schedules.engine.calendar_layout import (
    Layout,
    lay_out,
    minutes_into,
    run_minutes,
    run_stretches,
)
from schedules.engine.clock_changes import FIRST_DAY, LAST_DAY, changes_by_day, elapsed_minutes
from schedules.engine.errors import CalendarError
from schedules.engine.record import Calendar
from schedules.engine.series import HORIZON_D, Flags, Floats, Ints, as_days

FORGIVEN_MINUTES = 1e-6
"""Hours that a float's last digits put past midnight still run out before it."""

CALENDAR_STRIDE = 1 << 27
"""More than the days or minutes of one calendar, so that calendars can share a sorted array."""


class HoursTable:
    """Distinct calendars side by side; a fan names its own by ``index``, -1 for none.

    A calendar from which nothing follows answers NaN and is named in ``faults``.
    """

    def __init__(self, calendars: Sequence[Calendar]) -> None:
        self.faults: dict[int, str] = {}
        layouts: list[Layout] = []
        of_calendar: list[int] = []
        for index, calendar in enumerate(calendars):
            try:
                layouts.append(lay_out(calendar))
                of_calendar.append(index)
            except CalendarError as error:
                self.faults[index] = str(error)
        self._stack(layouts, of_calendar, len(calendars))

    def knows_day(self, index: NDArray[np.integer[Any]], day: NDArray[np.integer[Any]]) -> Flags:
        """Whether the hours of a day [ordinal] can be counted, shape (N,)."""
        return np.asarray(self._known[index] & (day >= FIRST_DAY) & (day < LAST_DAY))

    def hours_between(self, index: ArrayLike, first_day: ArrayLike, end_day: ArrayLike) -> Floats:
        """Running hours from the midnight that begins ``first_day`` to that of ``end_day``.

        index, first_day, end_day : int, shapes that go together; days [ordinal]
        returns float64 of their common shape [h], negative where the end comes first; NaN where no
            calendar is known
        """
        rows = np.atleast_1d(np.asarray(index, np.int64))
        first, end = (
            self._minutes_at(*np.broadcast_arrays(rows, np.asarray(day, np.int64)))
            for day in (first_day, end_day)
        )
        return np.asarray((end - first) / 60)

    def run_out_day(self, index: ArrayLike, from_day: ArrayLike, hours: ArrayLike) -> Floats:
        """The day in which the last of ``hours`` running hours from ``from_day``'s midnight ends.

        index, from_day : int, shape (N,); hours : float, shape (N,) [h]
        returns float64, shape (N,) [ordinal]; ``from_day`` itself where no hours are left; NaN
            where no calendar is known or the hours do not run out within ``HORIZON_D``; past
            LAST_DAY the last week goes on as it is
        """
        rows = np.atleast_1d(np.asarray(index, np.int64))
        begin = np.broadcast_to(np.asarray(from_day, np.int64), rows.shape)
        # Calendars run whole minutes, so a part of one ends with the whole.
        left = np.ceil(np.asarray(hours, np.float64) * 60 - FORGIVEN_MINUTES)
        run = self._minutes_at(rows, begin)
        known = run + left < CALENDAR_STRIDE
        day = np.full(rows.shape, np.nan)
        target = (run + left)[known].astype(np.int64)
        day[known] = self._day_reaching(rows[known], target)
        day = np.where(day - begin <= HORIZON_D, day, np.nan)
        return np.where(known & (left <= 0), begin, day)

    def _stack(self, layouts: list[Layout], of_calendar: list[int], count: int) -> None:
        pieces = [len(layout.start_day) for layout in layouts]
        row_offsets = np.cumsum([0, *(len(layout.prefix) for layout in layouts)])
        owner = np.repeat(np.array(of_calendar, np.int64), pieces)
        self._start_day = _joined([layout.start_day for layout in layouts])
        self._minutes = _joined([layout.minutes for layout in layouts])
        self._row = _joined(
            [layout.row + offset for layout, offset in zip(layouts, row_offsets, strict=False)]
        )
        self._prefix = _joined([layout.prefix for layout in layouts], np.zeros((0, 15), np.int64))
        self._day_key = owner * CALENDAR_STRIDE + self._start_day
        self._minute_key = owner * CALENDAR_STRIDE + self._minutes
        self._known = np.zeros(count + 1, np.bool_)  # the last, found by index -1, is no calendar
        self._known[of_calendar] = True

    def _minutes_at(self, index: Ints, day: Ints) -> Floats:
        """Running minutes since FIRST_DAY; NaN outside what is known."""
        known = self._known[index] & (day >= FIRST_DAY) & (day <= LAST_DAY)
        minutes = np.full(known.shape, np.nan)
        rows, days = index[known], day[known]
        at = np.searchsorted(self._day_key, rows * CALENDAR_STRIDE + days, side="right") - 1
        start = self._start_day[at]
        into = minutes_into(self._prefix, self._row[at], start, days - start)
        minutes[known] = self._minutes[at] + into
        return minutes

    def _day_reaching(self, index: Ints, target: Ints) -> Floats:
        """First day at whose end at least ``target`` (> 0) minutes have run; NaN if none does."""
        at = np.searchsorted(self._minute_key, index * CALENDAR_STRIDE + target, side="left") - 1
        at = np.maximum(at, 0)
        prefix, row, start = self._prefix, self._row[at], self._start_day[at]
        week, need = prefix[row, 7], target - self._minutes[at]
        weeks = np.maximum(-(-need // np.maximum(week, 1)) - 1, 0)
        weekday = (start - 1) % 7
        rest = need - weeks * week + prefix[row, weekday]
        passed = np.zeros(len(at), np.int64)
        for days in range(1, 7):
            passed += prefix[row, weekday + days] < rest
        day = start + 7 * weeks + passed
        return np.where(week > 0, day, np.nan)


def running_hours(
    calendar: Calendar,
    start: ArrayLike | datetime,
    end: ArrayLike | datetime,
    zone: str | None = None,
) -> Floats:
    """True elapsed running hours from ``start`` to ``end``, clock changes counted.

    calendar : ``record.Calendar``: periods valid from a day (before the first, that one counts),
        each with seven tuples of spans in minutes of the day, Monday first, an end past 1,440 being
        the next day; closed days
    start, end : days as ordinals (their beginning midnights), int, scalar or shape (N,); or a
        datetime: aware, or naive in the zone's wall time
    zone : time zone name; the calendar's own if None
    returns float64 [h], negative where the end comes first; NaN for days outside 1980 to 2099

    A wall time that clocks repeat is meant the first time, one they skip as if they had not changed
    yet (PEP 495); a datetime's own ``fold`` is honoured.

    Raises CalendarError for a calendar from which no hours follow, SeriesError for dates or text.
    """
    local = calendar if zone is None else replace(calendar, zone=zone)
    lay_out(local)
    table = HoursTable([local])
    first, last = _moment(local, start), _moment(local, end)
    days = np.broadcast_arrays(first.day, last.day)
    hours = table.hours_between(np.zeros(days[0].size, np.int64), days[0].ravel(), days[1].ravel())
    return np.asarray(hours.reshape(days[0].shape) + (last.minutes - first.minutes) / 60)


@dataclass(frozen=True)
class _Moment:
    """A day, and the minutes run since its midnight."""

    day: Ints
    minutes: float


def _moment(calendar: Calendar, moment: ArrayLike | datetime) -> _Moment:
    if not isinstance(moment, datetime):
        return _Moment(as_days("start and end", moment), 0.0)
    wall = moment if moment.tzinfo is None else moment.astimezone(ZoneInfo(calendar.zone))
    day = wall.toordinal()
    minute = wall.hour * 60 + wall.minute + wall.second / 60 + wall.microsecond / 6e7
    elapsed = elapsed_minutes(changes_by_day(calendar.zone).get(day, ()), minute, wall.fold)
    return _Moment(np.asarray(day), run_minutes(run_stretches(calendar, day), elapsed))


def _joined(parts: list[Ints], empty: Ints | None = None) -> Ints:
    return np.concatenate(parts) if parts else np.zeros(0, np.int64) if empty is None else empty
