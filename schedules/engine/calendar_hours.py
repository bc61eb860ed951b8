"""Running hours between two moments, and the day on which so many hours run out, for many fans."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import ArrayLike

from schedules.engine.calendar_layout import (
    Layout,
    covered_minutes,
    lay_out,
    minutes_into,
    open_stretches,
)
from schedules.engine.clock_changes import LAST_DAY, changes_by_day, wall_stretches
from schedules.engine.errors import CalendarError
from schedules.engine.record import Calendar
from schedules.engine.series import Floats, Ints

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

    def hours_between(self, index: ArrayLike, first_day: ArrayLike, end_day: ArrayLike) -> Floats:
        """Running hours from the midnight that begins ``first_day`` to that of ``end_day``.

        index, first_day, end_day : int, shape (N,); days [ordinal]
        returns float64, shape (N,) [h], negative where the end comes first; NaN where no calendar
            is known for one of the days
        """
        rows = np.atleast_1d(np.asarray(index, np.int64))
        first = self._minutes_at(rows, np.asarray(first_day, np.int64))
        return (self._minutes_at(rows, np.asarray(end_day, np.int64)) - first) / 60

    def run_out_day(self, index: ArrayLike, from_day: ArrayLike, hours: ArrayLike) -> Floats:
        """The day in which the last of ``hours`` running hours from ``from_day``'s midnight ends.

        index, from_day : int, shape (N,); hours : float, shape (N,) [h]
        returns float64, shape (N,) [ordinal]; ``from_day`` itself where no hours are left; NaN
            where no calendar is known for ``from_day`` or the hours never run out
        """
        rows = np.atleast_1d(np.asarray(index, np.int64))
        begin, left = np.asarray(from_day, np.int64), np.asarray(hours, np.float64) * 60
        target = self._minutes_at(rows, begin) + np.maximum(left - FORGIVEN_MINUTES, 0)
        day = self._day_reaching(rows, np.where(np.isnan(target), 1.0, target))
        day = np.where(left > FORGIVEN_MINUTES, day, begin.astype(np.float64))
        return np.where(np.isnan(target), np.nan, day)

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
        self._first_day = np.full(count + 1, LAST_DAY, np.int64)
        self._first_day[of_calendar] = [layout.start_day[0] for layout in layouts]

    def _minutes_at(self, index: Ints, day: Ints) -> Floats:
        """Running minutes since the calendar's beginning; NaN outside what is known."""
        known = (day >= self._first_day[index]) & (day <= LAST_DAY)
        minutes = np.full(np.broadcast_shapes(index.shape, day.shape), np.nan)
        rows, days = index[known], np.broadcast_to(day, minutes.shape)[known]
        at = np.searchsorted(self._day_key, rows * CALENDAR_STRIDE + days, side="right") - 1
        start = self._start_day[at]
        minutes[known] = self._minutes[at] + minutes_into(
            self._prefix[self._row[at]], start, days - start
        )
        return minutes

    def _day_reaching(self, index: Ints, target: Floats) -> Floats:
        """First day at whose end at least ``target`` (> 0) minutes have run; NaN if none does."""
        if not len(self._start_day):
            return np.full(index.shape, np.nan)
        at = np.searchsorted(self._minute_key, index * CALENDAR_STRIDE + target, side="left") - 1
        at = np.maximum(at, 0)
        prefix, start, need = (
            self._prefix[self._row[at]],
            self._start_day[at],
            target - self._minutes[at],
        )
        week = prefix[:, 7]
        with np.errstate(divide="ignore", invalid="ignore"):
            weeks = np.maximum(np.ceil(need / week) - 1, 0)
            rest = need - weeks * week
        weekday = (start - 1) % 7
        passed = np.zeros(len(at), np.int64)
        each = np.arange(len(at))
        for days in range(1, 7):
            passed += prefix[each, weekday + days] - prefix[each, weekday] < rest
        day = start + 7 * weeks + passed
        return np.where((week > 0) & (day < LAST_DAY), day, np.nan)


def running_hours(
    calendar: Calendar,
    start: ArrayLike | datetime,
    end: ArrayLike | datetime,
    zone: str | None = None,
) -> Floats:
    """True elapsed running hours from ``start`` to ``end``, clock changes counted.

    calendar : ``record.Calendar``: periods valid from a day (the first is not extended backwards),
        each with seven tuples of spans in minutes of the day, Monday first, an end past 1,440 being
        the next day; closed days
    start, end : days as ordinals (their beginning midnights), int, scalar or shape (N,); or a
        datetime: aware, or naive in the zone's wall time with ``fold`` telling repeated minutes
    zone : time zone name; the calendar's own if None
    returns float64 [h], NaN for days before the calendar's first period or outside 2000 to 2099

    Raises CalendarError for a calendar from which no hours follow.
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
        return _Moment(np.asarray(moment, np.int64), 0.0)
    wall = moment if moment.tzinfo is None else moment.astimezone(ZoneInfo(calendar.zone))
    minute = wall.hour * 60 + wall.minute + wall.second / 60 + wall.microsecond / 6e7
    return _Moment(
        np.asarray(wall.toordinal()), _run_by(calendar, wall.toordinal(), minute, wall.fold)
    )


def _run_by(calendar: Calendar, day: int, minute: float, fold: int) -> float:
    """Minutes run on ``day`` until its wall clock reads ``minute``, the second time if ``fold``."""
    running, run = open_stretches(calendar, day), 0.0
    stretches = wall_stretches(changes_by_day(calendar.zone).get(day, ()))
    for (begin, end), (following, _) in zip(stretches, (*stretches[1:], (9999, 0)), strict=True):
        if minute < end and not (fold and following <= minute):
            return run + covered_minutes(running, begin, minute)
        run += covered_minutes(running, begin, end)
    return run


def _joined(parts: list[Ints], empty: Ints | None = None) -> Ints:
    return np.concatenate(parts) if parts else np.zeros(0, np.int64) if empty is None else empty
