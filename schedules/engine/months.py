"""Months by the calendar on day numbers: clamped to month end, fractions as thirty-day months."""

from __future__ import annotations

from calendar import monthrange
from datetime import date

import numpy as np
from numpy.typing import ArrayLike

from schedules.engine.errors import SeriesError
from schedules.engine.series import ROUNDING_D, Ints, as_days, as_floats

EPOCH_DAY = 719_163
"""Ordinal of 1970-01-01, where numpy's own day count begins."""

DAYS_A_FRACTION = 30


def add_months(day: ArrayLike, months: ArrayLike) -> Ints:
    """Move ``day`` by ``months``: whole months first, then the fraction x 30 days, rounded down.

    day : int, any shape [ordinal, as ``date.toordinal()``]
    months : float, broadcast against day [months]; whole ones may be negative
    returns int64 ordinals; a day beyond the month's end becomes its last day

    Raises SeriesError for text, dates or missing values, and for negative fractions.
    """
    days, span = as_days("day", day), as_floats("months", months)
    if np.count_nonzero(np.isnan(span)):
        raise SeriesError("months holds NaN; leave out what is not known")
    whole = np.floor(span + ROUNDING_D)
    fraction = np.maximum(span - whole, 0.0)
    if np.count_nonzero((fraction > ROUNDING_D) & (span < 0)):
        raise SeriesError(f"months is {span.min()}; going back, only whole months have a meaning")
    rest = np.floor(fraction * DAYS_A_FRACTION + ROUNDING_D).astype(np.int64)
    moved = _clamped(days, whole.astype(np.int64)) + rest
    return moved if np.ndim(day) or np.ndim(months) else moved.reshape(())


def months_later(day: int, months: int) -> int:
    """Scalar twin of ``add_months`` for one day and whole months [ordinal]."""
    begin = date.fromordinal(day)
    years, month = divmod(begin.month - 1 + months, 12)
    last = monthrange(begin.year + years, month + 1)[1]
    return date(begin.year + years, month + 1, min(begin.day, last)).toordinal()


def next_inspection_day(anchor: ArrayLike, months: ArrayLike, n: ArrayLike = 1) -> Ints:
    """Return the n-th day of a series that comes every ``months`` months from ``anchor``.

    anchor : int, any shape [ordinal]; months : int [months]; n : counts from 1
    returns int64 ordinals

    Counting from the anchor and not from the day before keeps a 31st from sliding to the 28th.
    """
    return _clamped(np.asarray(anchor, np.int64), np.multiply(months, n))


def _clamped(days: Ints, months: Ints) -> Ints:
    dates = (days - EPOCH_DAY).astype("datetime64[D]")
    month = dates.astype("datetime64[M]")
    of_month = dates - month.astype("datetime64[D]")
    target = month + months.astype("timedelta64[M]")
    last = (target + np.timedelta64(1, "M")).astype("datetime64[D]") - np.timedelta64(1, "D")
    moved = np.minimum(target.astype("datetime64[D]") + of_month, last)
    return np.asarray(moved.astype(np.int64) + EPOCH_DAY)
