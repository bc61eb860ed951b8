"""What counts of failures and the time they were counted over must be, or why they are not."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from schedules.engine.errors import ParameterError, SeriesError
from schedules.engine.series import Floats, as_floats


def counted(name: str, values: ArrayLike) -> Floats:
    """Whole numbers of 0 or more as float64, of the shape given; NaN where not known.

    Raises SeriesError for anything else.
    """
    counts = as_floats(name, values).reshape(np.shape(values))
    if bool(np.any((counts < 0) | (counts != np.floor(counts)) & ~np.isnan(counts))):
        raise SeriesError(f"{name} is {values!r}; failures are counted in whole numbers from 0")
    return counts


def exposed(name: str, values: ArrayLike) -> Floats:
    """Time above 0 as float64, of the shape given; NaN where not known.

    Raises SeriesError for anything else.
    """
    times = as_floats(name, values).reshape(np.shape(values))
    if bool(np.any(times <= 0)):
        raise SeriesError(f"{name} is {values!r}; time under watch is above 0")
    return times


def positive(name: str, value: float) -> float:
    """Return ``value`` if it is finite and above 0, else raise ParameterError."""
    if not 0 < value < np.inf:
        raise ParameterError(f"{name} is {value}; expected a number above 0")
    return float(value)
