"""What ways, days and overtime cost, in whole cents as the solver wants them."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from schedules.engine.rounds.parameters import RoundsParams


def way_cents(params: RoundsParams, minutes: ArrayLike, metres: ArrayLike) -> NDArray[np.int64]:
    """Ways and access: paid time [min] and distance [m], any equal shapes."""
    time = np.asarray(minutes, np.float64) * (params.travel_hour_cost / 60)
    return np.rint(100 * (time + np.asarray(metres) / 1000 * params.km_cost)).astype(np.int64)


def day_cents(params: RoundsParams) -> int:
    """What it costs that somebody goes out on a day at all."""
    return round(params.day_cost * 100)


def moved_cents(params: RoundsParams, tasks: int) -> int:
    """What it must gain that so many tasks of the plan in force go to another workday."""
    return tasks * round(params.moved_stop_cost * 100)


def overtime_cents(params: RoundsParams, minutes: int = 1) -> int:
    """What minutes of overtime cost."""
    return minutes * round(params.overtime_hour_cost * 100 / 60)
