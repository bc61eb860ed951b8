"""Rule 5b: a sudden rise wants a look, once, and names what happened just before it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from schedules.engine.parameters import VibrationStep
from schedules.engine.record import Event
from schedules.engine.rule import SILENT, Columns, Fields
from schedules.engine.vibration_dates import VibrationDates, told
from schedules.engine.vibration_series import Series, StepUp

EVENT_KINDS = (
    "", "hood_cleaning", "hood_cleaning_tipped", "storm", "power_event", "kitchen_change",
)  # fmt: skip
"""By code; 0 for none."""


def fields(room: int) -> Fields:
    """What a packed history keeps of steps that nobody has looked at since.

    Each field has three places for each unit of ``room``.
    """
    shape = (3 * room,)
    return (
        ("step_point", "i1", shape),
        ("step_day", "i4", shape),
        ("step_mm_s", "f4", shape),
        ("step_earlier_mm_s", "f4", shape),
        ("step_event_day", "i4", shape),
        ("step_event_kind", "i1", shape),
    )


def fold(standing: Sequence[tuple[int, Series]], events: Sequence[Event]) -> Mapping[str, Any]:
    """Pack the steps that stand, each with the event most likely behind it."""
    found = [(point, series.step) for point, series in standing if series.step]
    between = [_event_between(events, step) for _, step in found]
    return {
        "step_point": [point for point, _ in found],
        "step_day": [step.day for _, step in found],
        "step_mm_s": [step.value_mm_s for _, step in found],
        "step_earlier_mm_s": [step.earlier_mm_s for _, step in found],
        "step_event_day": [day for day, _ in between],
        "step_event_kind": [kind for _, kind in between],
    }


def _event_between(events: Sequence[Event], step: StepUp) -> tuple[int, int]:
    """Day and kind of the last event between the readings, but first of one that tipped the fan."""
    between = [
        (_tipped(event), event.end_day, EVENT_KINDS.index(event.kind) + _tipped(event))
        for event in events
        if event.kind in EVENT_KINDS and step.since_day <= event.end_day <= step.day
    ]
    _, day, kind = max(between, default=(False, SILENT, 0))
    return day, kind


def _tipped(event: Event) -> bool:
    return event.tipped and event.kind == "hood_cleaning"


def dates(columns: Columns, rule: VibrationStep) -> VibrationDates:
    """Date the look after each step."""
    at = columns["step_day"].nonzero()
    day, event_day = columns["step_day"][at], columns["step_event_day"][at]
    due = day + np.int32(rule.days)
    args = told(
        len(due),
        point=columns["step_point"][at],
        value_mm_s=columns["step_mm_s"][at],
        limit_mm_s=columns["step_earlier_mm_s"][at],
        seen_day=day,
        event_day=np.where(event_day == SILENT, np.nan, event_day),
        event_kind=columns["step_event_kind"][at],
    )
    return VibrationDates(
        at[0], due, due + np.int32(rule.grace_days), day, np.zeros(len(due), np.bool_), args
    )
