"""Rule 5, vibration: by the level reached, by a sudden step, and by a trend towards the alarm."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from fleet.quantities import VIBRATION_POINTS
from schedules.engine import vibration_level, vibration_step, vibration_trend
from schedules.engine.codes import ACT
from schedules.engine.parameters import DueParams
from schedules.engine.record import FanRecord
from schedules.engine.rule import (
    SILENT,
    Columns,
    Days,
    Earliest,
    Fields,
    RuleColumns,
    Shared,
    earliest,
    silence,
)
from schedules.engine.series import Ints
from schedules.engine.vibration_course import Course
from schedules.engine.vibration_dates import ARG_NAMES, VibrationDates
from schedules.engine.vibration_series import FELT

number = 5
whys = ("", "level", "step", "trend")
cannot_tells = ("",)
arg_names = ARG_NAMES
LEVEL, STEP, TREND = range(1, 4)
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
    parts = {}
    if columns["level_verdict"].any():
        parts[LEVEL] = vibration_level.dates(columns, params)
    if columns["step_day"].any():
        parts[STEP] = vibration_step.dates(columns, params.step)
    if columns["trend_count"].any():
        parts[TREND] = vibration_trend.dates(columns, shared, params.trend)
    if not parts:
        return silence(len(columns), len(arg_names))
    found = VibrationDates.beside(list(parts.values()))
    why = np.repeat(np.array(list(parts)), [len(part.fan) for part in parts.values()])
    due, overdue = shared.place(
        found.due_day, found.overdue_day, found.fact_day, found.stop, found.fan
    )
    first = earliest(len(columns), found.fan, due, overdue)
    if STEP in parts:
        first = _rather_the_step(first, due, why, found)
    return RuleColumns.of(first, why, list(found.args.T))


def _rather_the_step(first: Earliest, due: Days, why: Ints, found: VibrationDates) -> Earliest:
    """Of a level and a step of one point on one day the step is told: it names what changed.

    Told instead of an act, it has that one's ``nth``, put into ``found``.  A stop is told before
    all.
    """
    told, args = np.zeros(len(first.due_day), np.intp), found.args
    told[first.fan] = first.which
    step = np.flatnonzero((why == STEP) & (due != SILENT))
    other = told[found.fan[step]]
    same = (due[step] == due[other]) & (args[step, POINT] == args[other, POINT])
    instead = same & (why[other] == LEVEL) & ~found.stop[other]
    step, other = step[instead], other[instead]
    args[step, NTH] = np.where(args[other, VERDICT] == ACT, args[other, NTH], np.nan)
    # From behind: of several steps the first is told.
    told[found.fan[step[::-1]]] = step[::-1]
    return replace(first, which=told[first.fan])
