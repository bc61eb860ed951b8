"""Rule 5, vibration: by the level reached, by a sudden step, and by a trend towards the alarm."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fleet.quantities import VIBRATION_POINTS
from schedules.engine import vibration_level, vibration_step, vibration_trend
from schedules.engine.codes import ACT
from schedules.engine.parameters import DueParams
from schedules.engine.record import FanRecord
from schedules.engine.rule import SILENT, Columns, Days, Fields, RuleColumns, Shared, earliest
from schedules.engine.vibration_course import Course
from schedules.engine.vibration_dates import ARG_NAMES, VibrationDates
from schedules.engine.vibration_series import FELT

number = 5
whys = ("", "level", "step", "trend")
cannot_tells = ("",)
arg_names = ARG_NAMES
POINT, VERDICT, NTH = map(ARG_NAMES.index, ("point", "verdict", "nth"))

POINTS = (FELT, *VIBRATION_POINTS)
"""Points by code; one nobody registered has the code after the last."""


def fields(room: int) -> Fields:
    """Levels and steps that stand, and series in which a trend may show."""
    parts = (vibration_level, vibration_step, vibration_trend)
    return tuple(field for part in parts for field in part.fields(room))


def fold(record: FanRecord, params: DueParams) -> Mapping[str, Any]:
    """Follow all series of the machine in place to what stands at the end."""
    course = Course(record, params)
    series = [(_code(each.point), each) for each in (course.felt, *course.series)]
    return {
        **vibration_level.fold(series),
        **vibration_step.fold(series, record.events),
        **vibration_trend.fold(series, params.trend),
    }


def _code(point: str) -> int:
    return POINTS.index(point) if point in POINTS else len(POINTS)


def reckon(columns: Columns, shared: Shared, params: DueParams) -> RuleColumns:
    """Date the next look at what shakes."""
    parts = (
        vibration_level.dates(columns, params),
        vibration_step.dates(columns, params.step),
        vibration_trend.dates(columns, shared, params.trend),
    )
    found = VibrationDates.beside(parts)
    placed, overdue = shared.place(found.due_day, found.overdue_day, found.fact_day, found.stop)
    order = np.broadcast_to(np.arange(placed.shape[1]), placed.shape)
    due, overdue, index = earliest(placed, overdue, order)
    widths = [part.due_day.shape[1] for part in parts]
    index, owed = _rather_the_step(placed, due, index, found, widths)
    rows, why = np.arange(len(columns)), np.repeat(np.arange(1, 4), widths)
    args = found.args[rows, index]
    args[:, NTH] = np.where(np.isnan(owed), args[:, NTH], owed)
    return RuleColumns(
        due_day=due,
        overdue_after_day=overdue,
        why=why[index].astype(np.int8),
        cannot_tell=np.zeros(len(columns), np.int8),
        args=args,
    )


def _rather_the_step(
    placed: Days, due: Days, index: NDArray[np.intp], found: VibrationDates, widths: Sequence[int]
) -> tuple[NDArray[np.intp], NDArray[np.float32]]:
    """Of a level and a step of one point on one day the step is told: it names what changed.

    The index to be told, shape (N,), and ``nth`` of an act that the step is told instead of, else
    NaN.  A stop is told before all.
    """
    rows, (levels, steps, _) = np.arange(len(index)), widths
    point, verdict, nth = (found.args[rows, index, at] for at in (POINT, VERDICT, NTH))
    twin = slice(levels, levels + steps)
    same = (placed[:, twin] == due[:, None]) & (found.args[:, twin, POINT] == point[:, None])
    instead = (index < levels) & (due != SILENT) & ~found.stop[rows, index] & same.any(axis=1)
    told = np.where(instead, levels + same.argmax(axis=1), index)
    return told, np.where(instead & (verdict == ACT), nth, np.float32(np.nan))
