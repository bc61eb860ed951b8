"""Rule 5a: a level reached wants a look, an act again and again, a stop at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from schedules.engine.codes import ACT, STOP, WATCH
from schedules.engine.parameters import DueParams
from schedules.engine.rule import Columns, Fields
from schedules.engine.vibration_dates import VibrationDates, told
from schedules.engine.vibration_series import Series

LAST_NTH = 3
"""From the third look on, an act is seen after the same number of days."""


def fields(room: int) -> Fields:
    """What a packed history keeps of levels that stand.

    Each field has four places for each unit of ``room``.
    """
    shape = (4 * room,)
    return (
        ("level_point", "i1", shape),
        ("level_verdict", "i1", shape),
        ("level_crossed_day", "i4", shape),
        ("level_day", "i4", shape),
        ("level_nth", "i1", shape),
        ("level_doubled", "?", shape),
        ("level_mm_s", "f4", shape),
        ("level_limit_mm_s", "f4", shape),
    )


def fold(standing: Sequence[tuple[int, Series]]) -> Mapping[str, Any]:
    """Pack the levels that stand; each series comes with its point's code."""
    found = [(point, level) for point, series in standing if (level := series.dated)]
    return {
        "level_point": [point for point, _ in found],
        "level_verdict": [level.verdict for _, level in found],
        "level_crossed_day": [level.crossed_day for _, level in found],
        "level_day": [level.day for _, level in found],
        "level_nth": [min(level.nth, LAST_NTH) for _, level in found],
        "level_doubled": [level.doubled for _, level in found],
        "level_mm_s": [level.value_mm_s for _, level in found],
        "level_limit_mm_s": [level.limit_mm_s for _, level in found],
    }


def dates(columns: Columns, params: DueParams) -> VibrationDates:
    """Date the next look at each level that stands."""
    rule, at = params.level, columns["level_verdict"].nonzero()
    point, verdict, crossed, day, nth, doubled, value, limit = (
        columns[f"level_{name}"][at]
        for name in (
            "point", "verdict", "crossed_day", "day", "nth", "doubled", "mm_s", "limit_mm_s",
        )
    )  # fmt: skip
    factor = np.where(doubled, params.follow_up.declined_factor, 1)
    act_days = np.array([0, *(rule.act_days(n) for n in range(1, LAST_NTH + 1))], np.int32)
    days = np.where(verdict == ACT, act_days[nth] * factor, rule.watch_days * (verdict == WATCH))
    stop = verdict == STOP
    due = (day + days).astype(np.int32)
    overdue = due + np.where(stop, 0, rule.grace_days).astype(np.int32)
    args = told(
        len(due), point=point, verdict=verdict, value_mm_s=value, limit_mm_s=limit,
        seen_day=crossed, nth=nth,
    )  # fmt: skip
    return VibrationDates(at[0], due, overdue, day, stop, args)
