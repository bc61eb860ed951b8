"""Turns what a caller passes as x and y into float arrays fit for reckoning, or says why not."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from schedules.engine.errors import ParameterError, SeriesError

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

BLOCK = 4096
"""Series worked on together: their pair differences then still fit a processor's cache."""

ROUNDING_D = 1e-6
"""A whole number of days is not lost to a float's last digits: 95.9999999 counts as 96."""


HORIZON_D = 36_525
"""A hundred years: what lies further off is never."""


def as_floats(name: str, values: ArrayLike) -> Floats:
    """Return ``values`` as float64 with at least one axis; NaN stands for a missing value.

    Raises SeriesError for text, dates or infinities.
    """
    try:
        floats = np.atleast_1d(np.asarray(values, dtype=np.float64))
    except (TypeError, ValueError) as error:
        raise SeriesError(f"{name} holds no numbers ({error}); pass days as ordinals") from error
    if np.count_nonzero(np.isinf(floats)):
        raise SeriesError(f"{name} holds an infinite value; leave missing values as NaN")
    return floats


def as_days(name: str, values: ArrayLike) -> Ints:
    """Return ordinals as int64 of the shape given.

    Raises SeriesError for text, dates or missing values.
    """
    days = as_floats(name, values).reshape(np.shape(values))
    if np.count_nonzero(np.isnan(days)):
        raise SeriesError(f"{name} holds NaN; leave out what is not known")
    return days.astype(np.int64)


def paired(x: ArrayLike, y: ArrayLike) -> tuple[Floats, Floats]:
    """Return x and y, each shape (..., K), with NaN in both wherever one of them is missing.

    Raises SeriesError where the shapes differ.
    """
    xs, ys = as_floats("x", x), as_floats("y", y)
    if xs.shape != ys.shape:
        raise SeriesError(f"x has shape {xs.shape} and y {ys.shape}; give each y its own x")
    missing = np.isnan(xs) | np.isnan(ys)
    return np.where(missing, np.nan, xs), np.where(missing, np.nan, ys)


def in_open_unit(name: str, value: float) -> float:
    """Return ``value`` if it lies inside (0, 1), else raise ParameterError."""
    if not 0.0 < value < 1.0:
        raise ParameterError(f"{name} is {value}; expected a fraction in (0, 1), as 0.95 for 95 %")
    return value


def whole_days(days: Floats) -> Floats:
    """Round down to whole days, forgiving ``ROUNDING_D``."""
    return np.asarray(np.floor(days + ROUNDING_D))
