"""What ways, days and overtime cost, in whole cents as the solver wants them."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from schedules.engine.rounds.parameters import RoundsParams
from schedules.engine.rounds.problem import DueFan, Problem

LONG_OVERDUE_DAYS = 1000
"""So long overdue a work counts twice; our choice, small enough to decide only between equals."""


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


def sooner_cents(problem: Problem, fans: Iterable[DueFan]) -> int:
    """What it is worth that work is done a day sooner: for fans at a stop, or overdue by the week.

    Of two overdue ones the longer overdue counts a little more.
    """
    params, total = problem.params, 0.0
    for fan in fans:
        overdue = max(0, problem.days[0] - fan.overdue_after_day)
        each = params.stop_day_cost if fan.at_stop else params.overdue_day_cost * bool(overdue)
        total += 100 * each * (1 + overdue / LONG_OVERDUE_DAYS)
    return round(total)


def overtime_cents(params: RoundsParams, minutes: int = 1) -> int:
    """What minutes of overtime cost."""
    return minutes * round(params.overtime_hour_cost * 100 / 60)
