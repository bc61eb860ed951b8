"""The hour meter of rule 3: its own hours up to its last reading, then by calendar in proportion.

A *run* is what one meter told without another in between; readings of a run join into segments,
whose hours lie on the days after the first reading up to and with the second.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import nan
from typing import Any

import numpy as np
from numpy.typing import NDArray

from schedules.engine.calendar_hours import HoursTable
from schedules.engine.parameters import RunningHours
from schedules.engine.record import MeterReading
from schedules.engine.rule import SILENT, Days, Fields
from schedules.engine.series import Flags, Floats, Ints

NO_METER, USED, SET_ASIDE, PARTLY = range(4)
"""One reading tells no hours: no meter.  Partly: some of the hours lie outside its readings."""
FORGIVEN_H = 1e-6
"""Hours that a float's last digits leave short have run all the same."""


def fields(room: int) -> Fields:
    """Readings still needed: their days, and the hours since the one before of the same run."""
    return (("meter_day", "i4", (12 * room,)), ("meter_gain_h", "f8", (12 * room,)))


def fold(
    readings: Sequence[MeterReading], begin_day: int, rule: RunningHours
) -> Mapping[str, Sequence[float]]:
    """Pick the readings that tell hours after ``begin_day`` or the ratio beyond the last one."""
    last_told = {(reading.meter, reading.day): reading for reading in readings}
    kept = sorted(last_told.values(), key=lambda reading: reading.day)
    needed = begin_day if not kept else min(begin_day, kept[-1].day - rule.ratio_days)
    first = max((place for place, each in enumerate(kept) if each.day <= needed), default=0)
    kept = kept[first:]
    return {
        "meter_day": [reading.day for reading in kept],
        "meter_gain_h": [nan, *(_gain(*pair) for pair in pairwise(kept))][: len(kept)],
    }


def _gain(before: MeterReading, after: MeterReading) -> float:
    """Hours between two readings, over the meter's end where it starts anew; NaN across meters."""
    if before.meter != after.meter:
        return nan
    rolled = after.hours < before.hours
    return after.hours - before.hours + (10.0**after.digits if rolled else 0.0)


@dataclass(frozen=True)
class MeterFacts:
    """What was folded of M fans: the day hours run from, shape (M,), and readings, (M, K)."""

    begin_day: Days
    day: Days
    gain_h: Floats

    def of(self, fans: NDArray[np.integer[Any] | np.bool_]) -> MeterFacts:
        """Of some of the fans, with no more places than one of them fills."""
        day = self.day[fans]
        places = slice(max(np.count_nonzero(day.any(axis=0)), 1))
        return MeterFacts(self.begin_day[fans], day[:, places], self.gain_h[fans, places])


@dataclass(frozen=True)
class RunOut:
    """When the hours of M fans run out [ordinal], NaN for never, and what was told on the way.

    ``told`` : known_day, known_hours, meter, ratio, each shape (M,)
    """

    due_day: Floats
    told: tuple[Floats, Floats, Ints, Floats]


def run_out(
    facts: MeterFacts, interval_h: Floats, table: HoursTable, calendar: Days, rule: RunningHours
) -> RunOut:
    """Run ``interval_h`` out from the day after ``begin_day``, by the meter where there is one.

    All of shape (M,).  Between readings the meter's hours are spread as the calendar's (evenly
    where it has none); beyond the last the calendar counts times the ratio of both.  A meter whose
    ratio cannot be is set aside whole.
    """
    begin = facts.begin_day
    meter = facts.day[:, 0] != SILENT
    due = np.full(len(begin), np.nan)
    if not meter.all():
        none = ~meter
        due[none] = table.run_out_day(calendar[none], begin[none] + 1, interval_h[none])
    known_day, known_h = begin.astype(np.float64), np.zeros(len(begin))
    kind, ratio = np.where(meter, USED, NO_METER), np.ones(len(begin))
    if meter.any():
        course = _Course.of(facts.of(meter), table, calendar[meter], rule)
        due[meter] = course.reaching(interval_h[meter], table, calendar[meter])
        kind[meter] = course.kind
        ratio[meter], known_day[meter] = course.ratio, course.last_day
        known_h[meter] = course.run_h[:, -1]
    return RunOut(due, (known_day, known_h, kind, ratio))


@dataclass(frozen=True)
class _Course:
    """Hours as they ran, in K pieces per fan ending with a reading each, shape (M, K).

    from_day, to_day : days (from, to] of a piece; empty where the reading is no later
    run_h : hours run by the end of each piece; calendar_rate : hours per calendar hour in it;
    day_rate : hours a day where the calendar has none, else NaN
    kind, ratio, last_day : shape (M,)
    """

    from_day: Ints
    to_day: Ints
    run_h: Floats
    calendar_rate: Floats
    day_rate: Floats
    kind: Ints
    ratio: Floats
    last_day: Ints

    @staticmethod
    def of(facts: MeterFacts, table: HoursTable, calendar: Days, rule: RunningHours) -> _Course:
        """The course of M meters; those whose ratio cannot be right are set aside."""
        begin = facts.begin_day.astype(np.int64)[:, None]
        day, gain = _filled_up(facts.day, facts.gain_h)
        by_calendar = _calendar_hours(table, calendar, begin, day)
        last = np.count_nonzero(facts.day, axis=1) - 1
        aside, ratio = _ratio(day, gain, by_calendar, last, rule)
        before = np.concatenate([np.minimum(day[:, :1], begin), day[:, :-1]], axis=1)
        calendar_before = np.concatenate([np.zeros((len(day), 1)), by_calendar[:, :-1]], axis=1)
        counted = ~np.isnan(gain) & ~aside[:, None]
        gain, whole = np.where(counted, gain, 0.0), by_calendar - calendar_before
        from_day, to_day = np.maximum(before, begin), np.maximum(day, begin)
        piece = np.maximum(by_calendar, 0) - np.maximum(calendar_before, 0)
        evenly = counted & (whole <= 0)
        rate = np.where(counted & ~evenly, gain / np.where(whole > 0, whole, 1), 1.0)
        daily = np.where(evenly, gain / np.maximum(day - before, 1), np.nan)
        piece_h = np.where(evenly, daily * (to_day - from_day), rate * piece)
        last_day = np.maximum(day[:, -1], begin[:, 0])
        run_h = np.cumsum(piece_h, axis=1)
        beside = (~counted & (piece_h > 0)).any(axis=1)
        kind = np.where(aside, SET_ASIDE, np.where(beside, PARTLY, USED))
        kind = np.where(aside | counted.any(axis=1), kind, NO_METER)
        return _Course(from_day, to_day, run_h, rate, daily, kind, ratio, last_day)

    def reaching(self, hours: Floats, table: HoursTable, calendar: Days) -> Floats:
        """The day in which the last of ``hours`` runs, shape (M,)."""
        reached = self.run_h >= hours[:, None] - FORGIVEN_H
        piece, rows = reached.argmax(axis=1), np.arange(len(hours))
        within = reached.any(axis=1)
        before = np.where(piece > 0, self.run_h[rows, piece - 1], 0.0)
        left = hours - np.where(within, before, self.run_h[:, -1])
        rate = np.where(within, self.calendar_rate[rows, piece], self.ratio)
        begin = np.where(within, self.from_day[rows, piece], self.last_day)
        by_calendar = table.run_out_day(
            calendar, begin + 1, left / np.where(rate > 0, rate, np.nan)
        )
        daily = np.where(within, self.day_rate[rows, piece], np.nan)
        by_day = begin + np.ceil(left / np.where(daily > 0, daily, 1) - FORGIVEN_H)
        day = np.where(np.isnan(daily), by_calendar, by_day)
        return np.where(within, np.minimum(day, self.to_day[rows, piece]), day)


def _filled_up(day: Days, gain: Floats) -> tuple[Ints, Floats]:
    """Empty places repeat the last day and gain nothing, so that the last column is the last."""
    empty = day == SILENT
    return np.maximum.accumulate(day, axis=1).astype(np.int64), np.where(empty, np.nan, gain)


def _calendar_hours(table: HoursTable, calendar: Days, begin: Ints, day: Ints) -> Floats:
    """Calendar hours from the end of ``begin`` to the end of each ``day``, below 0 before it."""
    return table.hours_between(calendar[:, None], begin + 1, day + 1)


def _ratio(
    day: Ints, gain: Floats, by_calendar: Floats, last: Ints, rule: RunningHours
) -> tuple[Flags, Floats]:
    """Whether the meter is set aside, and its hours per calendar hour over the last run."""
    places = np.arange(day.shape[1])
    joined = ~np.isnan(gain)
    run_from = np.where((places <= last[:, None]) & ~joined, places, 0).max(axis=1)
    far = (day <= day[:, -1:] - rule.ratio_days) & (places >= run_from[:, None])
    base = np.where(far.any(axis=1), np.where(far, places, 0).max(axis=1), run_from)
    over = (places > base[:, None]) & joined
    meter_h, rows = np.where(over, gain, 0.0).sum(axis=1), np.arange(len(day))
    calendar_h = by_calendar[:, -1] - by_calendar[rows, base]
    days = day[:, -1] - day[rows, base]
    ratio = np.divide(meter_h, calendar_h, out=np.zeros(len(day)), where=calendar_h > 0)
    believable = (ratio >= rule.least_ratio) & (meter_h <= rule.day_hours * days)
    told = days > 0
    return told & ~(believable & (calendar_h > 0)), np.where(told & believable, ratio, 1.0)
