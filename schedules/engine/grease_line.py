"""When grease at one place of one fan will have grown to its limit, for many places at once."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from math import prod
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from schedules.engine.errors import SeriesError
from schedules.engine.lines import line_through
from schedules.engine.parameters import GreaseLoad
from schedules.engine.series import HORIZON_D, Flags, Floats, Ints, as_floats, whole_days

NOWHERE = -1
NEARLY = 1e-9
"""Relative: 0.125 in is 3175 um on paper and a hair less in binary."""


class GreaseBasis(IntEnum):
    """What a crossing, or its absence, rests on."""

    NOTHING_READ = 0
    NO_GROWTH = 1
    AT_LIMIT = 2
    ONE_READING = 3
    LINE = 4
    UPPER_SLOPE = 5
    LAST_TWO = 6


@dataclass(frozen=True)
class GreaseCrossing:
    """Every field has the leading shape of the series.

    crossing_day : [ordinal], NaN where the place is silent
    slope_um_d : the growth reckoned with [um/d], NaN where none can be told
    last_day, last_depth_um : the last reading since the cleaning, upper end of the comb's interval
    readings : how many there are after the start point
    basis : ``GreaseBasis``
    """

    crossing_day: Floats
    slope_um_d: Floats
    last_day: Floats
    last_depth_um: Floats
    readings: Ints
    basis: NDArray[np.int8]


def grease_crossing(
    days: ArrayLike,
    depth_um: ArrayLike,
    limit_um: ArrayLike,
    cleaned_day: ArrayLike = np.nan,
    *,
    high_um: ArrayLike | None = None,
    params: GreaseLoad | None = None,
) -> GreaseCrossing:
    """The day on which depth reaches its limit.

    days : shape (..., K) [ordinal], in time order, NaN pads
    depth_um : shape (..., K) [um]; with ``high_um``, the lower end of the comb's interval
    limit_um, cleaned_day : broadcast against the leading shape [um], [ordinal]; cleaned_day NaN if
        no cleaning is on record
    high_um : shape (..., K), upper end of the comb's interval; depth_um if None
    params : settings of rule 4

    Readings before cleaned_day are of grease that is gone.  One *on* it is the depth as left: pass
    only what was read after the cleaning.  The line starts there, else at the depth cleaned to,
    else, no cleaning on record, at the first reading.  Then: one later reading, the line to it;
    more, least squares held at the start; three or more, the one-sided upper limit of that slope
    (Student's t, n - 1 degrees).  If the last two are far enough apart their slope counts where
    steeper.  Slopes use the middle of the comb's interval, the distance left its upper end.
    A last reading at or over the limit crosses on its own day; no growth below it, or
    growth that would take ``HORIZON_D``, never.

    Raises SeriesError for shapes that differ, infinities, times out of order, high below low.
    """
    settings = GreaseLoad() if params is None else params
    read, leading = _Readings.of(days, depth_um, depth_um if high_um is None else high_um)
    limit, cleaned = (
        np.full(leading, each, np.float64).reshape(-1) for each in (limit_um, cleaned_day)
    )
    start_day, start_um, later = _start(read, cleaned, settings.cleaned_depth_um)
    slope, basis = _slope(read, start_day, start_um, later, settings)
    found = _crossing(read, limit, cleaned, later, slope, basis)
    return GreaseCrossing(*(each.reshape(leading) for each in found))


@dataclass(frozen=True)
class _Readings:
    """M series of one length, shape (M, K + 1): the last place of each is empty, for NOWHERE."""

    day: Floats
    middle: Floats
    high: Floats
    place: Ints

    @staticmethod
    def of(
        days: ArrayLike, low_um: ArrayLike, high_um: ArrayLike
    ) -> tuple[_Readings, tuple[int, ...]]:
        """The series and their leading shape."""
        day, low, high = (
            as_floats(name, values)
            for name, values in (("days", days), ("depth_um", low_um), ("high_um", high_um))
        )
        if not day.shape == low.shape == high.shape:
            raise SeriesError(
                f"days, depth_um, high_um have shapes {day.shape}, {low.shape}, {high.shape}; "
                "give each reading its day and both ends"
            )
        if np.count_nonzero(high < low):
            raise SeriesError("high_um lies below depth_um; give the comb's lower end first")
        *leading, length = day.shape
        read = np.full((3, prod(leading), length + 1), np.nan)
        for row, each in zip(read, (day, (low + high) / 2, high), strict=True):
            row[:, :-1] = each.reshape(len(row), length)
        read[:2, np.isnan(read[0] + read[1])] = np.nan
        if np.count_nonzero(read[0] < np.fmax.accumulate(read[0], axis=1)):
            raise SeriesError("days go back in time; sort the readings by day")
        return _Readings(read[0], read[1], read[2], np.arange(length + 1)), tuple(leading)

    def first(self, flags: Flags) -> Ints:
        """Place of the first flag set in each series, an empty one where none is."""
        return np.asarray(np.where(flags, self.place, self.place[-1]).min(axis=1))

    def last(self, flags: Flags) -> Ints:
        """Place of the last flag set in each series, NOWHERE where none is."""
        return np.asarray(np.where(flags, self.place, NOWHERE).max(axis=1))


def _start(
    read: _Readings, cleaned: Floats, cleaned_depth_um: float
) -> tuple[Floats, Floats, Flags]:
    """Where the line begins, and which readings lie after it."""
    known, told, rows = ~np.isnan(cleaned), ~np.isnan(read.day), np.arange(len(cleaned))
    first = read.first(told)
    begins = np.where(known, read.last(read.day == cleaned[:, None]), first)
    # The first reading lies on its own line, however many follow it on that day.
    after_first = told & (read.place > first[:, None])
    later = np.where(known[:, None], read.day > cleaned[:, None], after_first)
    start_day = np.where(known, cleaned, read.day[rows, begins])
    start_um = read.middle[rows, begins]
    bare = known & np.isnan(start_um)
    return start_day, np.where(bare, cleaned_depth_um, start_um), later


def _slope(
    read: _Readings, start_day: Floats, start_um: Floats, later: Flags, settings: GreaseLoad
) -> tuple[Floats, NDArray[np.int8]]:
    line = line_through(
        np.where(later, read.day, np.nan), read.middle, start_day[:, None], start_um[:, None]
    )
    three, two = line.count >= 3, line.count >= 2
    slope = np.where(three, line.upper_slope(settings.slope_confidence), line.slope)
    basis = np.where(
        three, GreaseBasis.UPPER_SLOPE, np.where(two, GreaseBasis.LINE, GreaseBasis.ONE_READING)
    )
    if not two.any():
        return slope, basis.astype(np.int8)
    rows, last = np.arange(len(later)), read.last(later)
    before = read.last(later & (read.place < last[:, None]))
    apart = read.day[rows, last] - read.day[rows, before]
    far = two & (apart >= settings.last_two_apart_days)
    rise = read.middle[rows, last] - read.middle[rows, before]
    recent = np.where(far, rise / np.where(far, apart, 1.0), np.nan)
    steeper = far & ~(recent <= slope)
    return np.where(steeper, recent, slope), np.where(steeper, GreaseBasis.LAST_TWO, basis).astype(
        np.int8
    )


def _crossing(
    read: _Readings,
    limit: Floats,
    cleaned: Floats,
    later: Flags,
    slope: Floats,
    basis: NDArray[np.int8],
) -> tuple[NDArray[Any], ...]:
    """The fields of ``GreaseCrossing``, of shape (M,)."""
    rows, last = np.arange(len(slope)), read.last(read.day >= np.fmax(cleaned, -np.inf)[:, None])
    last_day, last_um = read.day[rows, last], read.high[rows, last]
    at_limit = last_um >= limit * (1 - NEARLY)
    grows = ~at_limit & (slope * HORIZON_D > limit - last_um)
    left = whole_days((limit - last_um) / np.where(grows, slope, np.nan))
    crossing = np.where(at_limit, last_day, last_day + left)
    silent = np.where(last != NOWHERE, GreaseBasis.NO_GROWTH, GreaseBasis.NOTHING_READ)
    why = np.where(at_limit, GreaseBasis.AT_LIMIT, np.where(grows, basis, silent))
    count = np.count_nonzero(later, axis=1)
    return crossing, slope, last_day, last_um, count, why.astype(np.int8)
