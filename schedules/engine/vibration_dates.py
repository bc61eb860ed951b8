"""What the three parts of rule 5 hand over: dates with their evidence, several per fan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from schedules.engine.rule import Days
from schedules.engine.series import Flags, Ints

ARG_NAMES = (
    "point", "verdict", "value_mm_s", "limit_mm_s", "seen_day", "nth", "slope_mm_s_d",
    "crossing_day", "event_day", "event_kind", "readings",
)  # fmt: skip


@dataclass(frozen=True)
class VibrationDates:
    """C candidates of one part, args of shape (C, A); ``fact_day`` is what each is counted from."""

    fan: Ints
    due_day: Days
    overdue_day: Days
    fact_day: Days
    stop: Flags
    args: NDArray[np.float32]

    @staticmethod
    def beside(parts: Sequence[VibrationDates]) -> VibrationDates:
        """All candidates of several parts, in their order."""
        each = [
            np.concatenate([getattr(part, entry.name) for part in parts])
            for entry in fields(VibrationDates)
        ]
        return VibrationDates(*each)


def told(count: int, **evidence: NDArray[np.generic]) -> NDArray[np.float32]:
    """Evidence by name of so many, in the order of ARG_NAMES; NaN for what is not told."""
    args = np.full((count, len(ARG_NAMES)), np.nan, np.float32)
    for name, values in evidence.items():
        args[:, ARG_NAMES.index(name)] = values
    return args
