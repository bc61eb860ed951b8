"""When grease at one place of one fan will have grown to its limit, for many places at once."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from schedules.engine.errors import SeriesError
from schedules.engine.lines import straight_line
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
    read = _Readings.of(days, depth_um, depth_um if high_um is None else high_um)
    leading = read.day.shape[:-1]
    limit, cleaned = (np.full(leading, each, np.float64) for each in (limit_um, cleaned_day))
    start_day, start_um, later = _start(read, cleaned, settings.cleaned_depth_um)
    slope, basis = _slope(read, start_day, start_um, later, settings)
    return _crossing(read, limit, cleaned, later, slope, basis)


@dataclass(frozen=True)
class _Readings:
    day: Floats
    middle: Floats
    high: Floats

    @staticmethod
    def of(days: ArrayLike, low_um: ArrayLike, high_um: ArrayLike) -> _Readings:
        day, low, high = (
            as_floats(name, values)
            for name, values in (("days", days), ("depth_um", low_um), ("high_um", high_um))
        )
        if not day.shape == low.shape == high.shape:
            raise SeriesError(
                f"days, depth_um, high_um have shapes {day.shape}, {low.shape}, {high.shape}; "
                "give each reading its day and both ends"
            )
        if (high < low).any():
            raise SeriesError("high_um lies below depth_um; give the comb's lower end first")
        if not day.shape[-1]:
            # No reading at all: one place that is empty, so that there is a first and a last.
            day = low = high = np.full((*day.shape[:-1], 1), np.nan)
        missing = np.isnan(day) | np.isnan(low) | np.isnan(high)
        day = np.where(missing, np.nan, day)
        if (day < np.fmax.accumulate(day, axis=-1)).any():
            raise SeriesError("days go back in time; sort the readings by day")
        return _Readings(day, np.where(missing, np.nan, (low + high) / 2), high)


def _start(
    read: _Readings, cleaned: Floats, cleaned_depth_um: float
) -> tuple[Floats, Floats, Flags]:
    """Where the line begins, and which readings lie after it."""
    known = ~np.isnan(cleaned)
    first = _first(~np.isnan(read.day))
    begins = np.where(known, _last(read.day == cleaned[..., None]), first)
    # The first reading lies on its own line, however many follow it on that day.
    after_first = ~np.isnan(read.day) & (np.arange(read.day.shape[-1]) > first[..., None])
    later = np.where(known[..., None], read.day > cleaned[..., None], after_first)
    start_day = np.where(known, cleaned, _at(read.day, begins))
    bare = np.where(known, cleaned_depth_um, np.nan)
    return start_day, np.where(begins != NOWHERE, _at(read.middle, begins), bare), later


def _slope(
    read: _Readings, start_day: Floats, start_um: Floats, later: Flags, settings: GreaseLoad
) -> tuple[Floats, NDArray[np.int8]]:
    day, middle = np.where(later, read.day, np.nan), np.where(later, read.middle, np.nan)
    line = straight_line(day, middle, through=(start_day, start_um))
    three = line.count >= 3
    slope = np.where(three, line.upper_slope(settings.slope_confidence), line.slope)
    basis = np.where(
        three,
        GreaseBasis.UPPER_SLOPE,
        np.where(line.count == 2, GreaseBasis.LINE, GreaseBasis.ONE_READING),
    )
    last = _last(later)
    before = _last(later & (np.arange(day.shape[-1]) < last[..., None]))
    apart = _at(day, last) - _at(day, before)
    far = (line.count >= 2) & (apart >= settings.last_two_apart_days)
    rise = _at(middle, last) - _at(middle, before)
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
) -> GreaseCrossing:
    of_this_load = ~(read.day < cleaned[..., None]) & ~np.isnan(read.day)
    last = _last(of_this_load)
    last_day, last_um = _at(read.day, last), _at(read.high, last)
    at_limit = last_um >= limit * (1 - NEARLY)
    grows = ~at_limit & (slope * HORIZON_D > limit - last_um)
    left = whole_days((limit - last_um) / np.where(grows, slope, np.nan))
    crossing = np.where(at_limit, last_day, last_day + left)
    silent = np.where(last != NOWHERE, GreaseBasis.NO_GROWTH, GreaseBasis.NOTHING_READ)
    why = np.where(at_limit, GreaseBasis.AT_LIMIT, np.where(grows, basis, silent))
    count = np.asarray(later.sum(axis=-1))
    return GreaseCrossing(crossing, slope, last_day, last_um, count, why.astype(np.int8))


def _first(flags: Flags) -> Ints:
    """Place of the first flag set in each series, NOWHERE where none is."""
    return np.where(flags.any(axis=-1), flags.argmax(axis=-1), NOWHERE)


def _last(flags: Flags) -> Ints:
    """Place of the last flag set in each series, NOWHERE where none is."""
    last = flags.shape[-1] - 1 - flags[..., ::-1].argmax(axis=-1)
    return np.where(flags.any(axis=-1), last, NOWHERE)


def _at(values: Floats, place: Ints) -> Floats:
    """The value at a place of each series; NaN at NOWHERE."""
    rows = values.reshape(-1, values.shape[-1])
    found = rows[np.arange(len(rows)), place.ravel()].reshape(place.shape)
    return np.where(place == NOWHERE, np.nan, found)
