"""Full-load currents of the electrical code's tables, and the standard breaker sizes."""

from __future__ import annotations

from bisect import bisect_left
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

# NFPA 70 Table 430.250 [A]; rows to 10 hp and the 20 hp row at 208, 230 and 460 V are confirmed,
# the rest of 15, 20 and 25 hp is from memory.  None: the table has no entry.
_THREE_PHASE_VOLTS = (115, 200, 208, 230, 460)
_THREE_PHASE: tuple[tuple[float, tuple[float | None, ...]], ...] = (
    (1 / 2, (4.4, 2.5, 2.4, 2.2, 1.1)),
    (3 / 4, (6.4, 3.7, 3.5, 3.2, 1.6)),
    (1, (8.4, 4.8, 4.6, 4.2, 2.1)),
    (1.5, (12.0, 6.9, 6.6, 6.0, 3.0)),
    (2, (13.6, 7.8, 7.5, 6.8, 3.4)),
    (3, (None, 11.0, 10.6, 9.6, 4.8)),
    (5, (None, 17.5, 16.7, 15.2, 7.6)),
    (7.5, (None, 25.3, 24.2, 22.0, 11.0)),
    (10, (None, 32.2, 30.8, 28.0, 14.0)),
    (15, (None, 48.3, 46.2, 42.0, 21.0)),
    (20, (None, 62.1, 59.4, 54.0, 27.0)),
    (25, (None, 78.2, 74.8, 68.0, 34.0)),
)
# NFPA 70 Table 430.248 [A]; the 208 V column is from memory, the others are confirmed.
_SINGLE_PHASE_VOLTS = (115, 200, 208, 230)
_SINGLE_PHASE: tuple[tuple[float, tuple[float | None, ...]], ...] = (
    (1 / 6, (4.4, 2.5, 2.4, 2.2)),
    (1 / 4, (5.8, 3.3, 3.2, 2.9)),
    (1 / 3, (7.2, 4.1, 4.0, 3.6)),
    (1 / 2, (9.8, 5.6, 5.4, 4.9)),
    (3 / 4, (13.8, 7.9, 7.6, 6.9)),
    (1, (16.0, 9.2, 8.8, 8.0)),
    (1.5, (20.0, 11.5, 11.0, 10.0)),
    (2, (24.0, 13.8, 13.2, 12.0)),
    (3, (34.0, 19.6, 18.7, 17.0)),
    (5, (56.0, 32.2, 30.8, 28.0)),
    (7.5, (80.0, 46.0, 44.0, 40.0)),
    (10, (100.0, 57.5, 55.0, 50.0)),
)

# The tables hold for these ranges of system voltage (note below both tables).
_COLUMN_RANGES = (
    (110, 120, 115),
    (200, 200, 200),
    (208, 208, 208),
    (220, 240, 230),
    (440, 480, 460),
)

SIZE_TOLERANCE = 0.025
"""Reading 0.33 or 0.25 kW off a plate still finds the 1/3 hp row; our choice."""

STANDARD_BREAKERS_A = (15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100)
"""NFPA 70 240.6(A) up to 100 A, from memory."""


def _cells(
    volts: tuple[int, ...], rows: tuple[tuple[float, tuple[float | None, ...]], ...], phases: int
) -> dict[tuple[int, int, float], float]:
    return {
        (phases, column, size): amperes
        for size, row in rows
        for column, amperes in zip(volts, row, strict=True)
        if amperes is not None
    }


_TABLE = MappingProxyType(
    _cells(_THREE_PHASE_VOLTS, _THREE_PHASE, 3) | _cells(_SINGLE_PHASE_VOLTS, _SINGLE_PHASE, 1)
)
_SIZES = {3: [size for size, _ in _THREE_PHASE], 1: [size for size, _ in _SINGLE_PHASE]}


def full_load_current_a(horsepower: float, volts: float, phases: int) -> float | None:
    """Table full-load current [A] of one motor, or None where the tables have no entry."""
    column = next((column for low, high, column in _COLUMN_RANGES if low <= volts <= high), None)
    size = _table_size(horsepower, phases)
    return None if column is None or size is None else _TABLE.get((phases, column, size))


def _table_size(horsepower: float, phases: int) -> float | None:
    sizes = _SIZES.get(phases, [])
    near = [s for s in sizes if abs(horsepower - s) <= SIZE_TOLERANCE * s]
    return min(near, key=lambda size: abs(horsepower - size), default=None)


def table_full_load_a(
    horsepower: ArrayLike, volts: ArrayLike, phases: ArrayLike
) -> NDArray[np.float64]:
    """Full-load current [A] of NFPA 70 Tables 430.250 (three-phase) and 430.248 (single-phase).

    ``horsepower`` [hp], ``volts`` [V] (a system voltage such as 240 finds its 230 V column) and
    ``phases`` (1 or 3) broadcast together; the result has their shape.  NaN where the tables have
    no entry.  Editions 1999 to 2017 agree; table values size conductors and breakers, never
    overloads.
    """

    def one(size: float, line_to_line: float, phase_count: float) -> float:
        found = full_load_current_a(float(size), float(line_to_line), int(phase_count))
        return np.nan if found is None else found

    cells = np.vectorize(one, otypes=[np.float64])(horsepower, volts, phases)
    return np.asarray(cells, dtype=np.float64)


def next_standard_breaker_a(amperes: float) -> float | None:
    """The smallest standard size [A] not below ``amperes``, or None above the largest we list."""
    place = bisect_left(STANDARD_BREAKERS_A, amperes * (1 - 1e-9))
    return float(STANDARD_BREAKERS_A[place]) if place < len(STANDARD_BREAKERS_A) else None
