"""Rule 5c: a rise that is no accident wants a look half-way to the alarm."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import isnan
from typing import Any

import numpy as np

from schedules.engine.parameters import VibrationTrend
from schedules.engine.ranks import rises
from schedules.engine.rule import SILENT, Columns, Days, Fields, Shared
from schedules.engine.series import HORIZON_D, Flags, Floats, Ints, whole_days
from schedules.engine.slopes import theil_sen
from schedules.engine.vibration_dates import VibrationDates, told
from schedules.engine.vibration_series import SLACK, Series

WIDTHS = (12, 32, 96)
"""Series are worked on together with others about as long; a few groups, for each costs time."""


def fields(room: int) -> Fields:
    """Series that rise by no accident, and their readings one series after another."""
    shape, pool = (4 * room,), (48 * room,)
    return (
        ("trend_point", "i1", shape),
        ("trend_count", "i2", shape),
        ("trend_alarm_mm_s", "f8", shape),
        ("trend_alone", "?", shape),
        ("trend_day", "i4", pool),
        ("trend_mm_s", "f8", pool),
    )


def fold(standing: Sequence[tuple[int, Series]], rule: VibrationTrend) -> Mapping[str, Any]:
    """Pack the series that show a trend; ``trend_alone`` where no level stands."""
    long = ((point, series) for point, series in standing if _long(series, rule))
    # A series that does not rise today will not rise tomorrow: it is tested once, not every night.
    found = [(point, series) for point, series in long if _rises(series, rule)]
    return {
        "trend_point": [point for point, _ in found],
        "trend_count": [len(series.days) for _, series in found],
        "trend_alarm_mm_s": [series.alarm_mm_s for _, series in found],
        "trend_alone": [series.dated is None for _, series in found],
        "trend_day": [day for _, series in found for day in series.days],
        "trend_mm_s": [value for _, series in found for value in series.values],
    }


def _long(series: Series, rule: VibrationTrend) -> bool:
    days = series.days
    return (
        len(days) >= rule.least_readings
        and days[-1] - days[0] >= rule.least_span_days
        and not isnan(series.alarm_mm_s)
    )


def _rises(series: Series, rule: VibrationTrend) -> bool:
    return rises(series.days, series.values, rule.largest_p)


def dates(columns: Columns, shared: Shared, rule: VibrationTrend) -> VibrationDates:
    """Date the look before each rising series reaches its alarm."""
    at = columns["trend_count"].nonzero()
    fan, count, alarm = at[0], columns["trend_count"][at], columns["trend_alarm_mm_s"][at]
    line = _Line.of(columns, at, rule)
    crossing = line.crossing_day(alarm, columns["trend_alone"][at], rule)
    walk_last = shared.walk.last_day[fan]
    interval = np.where(walk_last == SILENT, HORIZON_D, shared.walk.due_day[fan] - walk_last)
    due, overdue = _look(line.last_day, crossing, interval, rule)
    args = told(
        len(fan),
        point=columns["trend_point"][at],
        value_mm_s=line.fitted_mm_s,
        limit_mm_s=alarm,
        seen_day=line.last_day,
        slope_mm_s_d=line.upper_mm_s_d,
        crossing_day=crossing,
        readings=count,
    )
    no_stop = np.zeros(len(fan), np.bool_)
    return VibrationDates(fan, due, overdue, line.last_day, no_stop, args)


def _alike_long(count: Ints) -> Iterator[Ints]:
    """Indexes of series, grouped by the width they are padded to."""
    group = np.searchsorted(WIDTHS, count)
    for each in np.unique(group):
        yield np.flatnonzero(group == each)


@dataclass(frozen=True)
class _Pools:
    """Readings of all series of N fans, one series after another: flat, K places a fan."""

    day: Days
    value: Floats
    begin: Ints

    @staticmethod
    def of(columns: Columns) -> _Pools:
        """The pools of the N fans of a block."""
        day, counts = columns["trend_day"], columns["trend_count"].astype(np.int64)
        begin = np.cumsum(counts, axis=1) - counts + np.arange(len(day))[:, None] * day.shape[1]
        # Out of rows of many fields each number would be fetched by itself.
        return _Pools(day.ravel(), columns["trend_mm_s"].ravel(), begin)

    def series(self, begin: Ints, count: Ints) -> tuple[Floats, Floats]:
        """Days and values of M series, shape (M, longest), NaN beyond their ends."""
        step = np.arange(count.max())
        beyond = step >= count[:, None]
        at = begin[:, None] + np.where(beyond, 0, step)
        return (
            np.where(beyond, np.nan, self.day[at]),
            np.where(beyond, np.nan, self.value[at]),
        )


@dataclass(frozen=True)
class _Line:
    """Rising lines of M series at their last reading: all of shape (M,)."""

    last_day: Days
    fitted_mm_s: Floats
    upper_mm_s_d: Floats

    @staticmethod
    def of(columns: Columns, at: tuple[Ints, ...], rule: VibrationTrend) -> _Line:
        """Through the series that stand there."""
        pools, count = _Pools.of(columns), columns["trend_count"][at]
        begin = pools.begin[at]
        last_day = pools.day[begin + count - 1]
        fitted, upper = np.zeros(len(count)), np.zeros(len(count))
        for rows in _alike_long(count):
            day, value = pools.series(begin[rows], count[rows])
            # Days since the last reading: what is fitted there is the intercept, free of rounding.
            since = day - last_day[rows, None]
            line = theil_sen(since, value, rule.level, rule.pair_apart_days)
            fitted[rows], upper[rows] = line.intercept, line.upper
        return _Line(last_day, fitted, upper)

    def crossing_day(self, alarm_mm_s: Floats, alone: Flags, rule: VibrationTrend) -> Days:
        """Day the upper slope reaches the alarm; SILENT where it never does, or a level stands
        that says the same."""
        left_mm_s = alarm_mm_s - self.fitted_mm_s
        at_alarm, rising = left_mm_s <= SLACK, self.upper_mm_s_d > 0
        left = whole_days(left_mm_s / np.where(rising, self.upper_mm_s_d, np.nan))
        left = np.where(at_alarm, np.where(alone, rule.at_alarm_days, np.nan), left)
        within_sight = rising & (left <= HORIZON_D)
        return np.where(within_sight, self.last_day + left, SILENT).astype(np.int32)


def _look(last: Days, crossing: Days, interval: Days, rule: VibrationTrend) -> tuple[Days, Days]:
    """Due and overdue day, SILENT where the next walk-through comes first anyway, shape (M,)."""
    half = np.floor((crossing - last) * rule.look_share)
    speaks = (crossing != SILENT) & (half < interval)
    due = np.minimum(last + np.maximum(half, rule.least_half_days), crossing)
    overdue = np.maximum(np.minimum(due + rule.grace_days, crossing), due)
    due, overdue = (np.where(speaks, day, SILENT).astype(np.int32) for day in (due, overdue))
    return due, overdue
