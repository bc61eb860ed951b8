"""Rule 9, out of service: the restart check, and other rules' days moved past the time away."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import takewhile
from typing import Any

import numpy as np
from numpy.typing import NDArray

from schedules.engine.parameters import DueParams
from schedules.engine.record import FanRecord
from schedules.engine.rule import (
    SILENT,
    Columns,
    Days,
    Fields,
    RuleColumns,
    Shared,
    side_by_side,
    silence,
)

number = 9
whys = ("", "promised", "no_promise")
cannot_tells = ("",)
arg_names = ("made_safe_day", "promised_day")


def fields(room: int) -> Fields:
    """The open span, and the last closed ones in time order."""
    return (
        ("open_day", "i4"),
        ("promised_day", "i4"),
        ("away_day", "i4", (2 * room,)),
        ("back_day", "i4", (2 * room,)),
    )


def fold(record: FanRecord, params: DueParams) -> Mapping[str, Any]:
    """Pick the last span if it is still open, and all that were closed."""
    spans = sorted(record.out_of_service, key=lambda span: span.day)
    closed = [
        (span.day, span.restarted_day)
        for span in spans
        if span.restarted_day is not None and span.restarted_day >= span.day
    ]
    last = spans[-1] if spans and spans[-1].restarted_day is None else None
    return {
        "open_day": last.day if last else SILENT,
        "promised_day": (last.restart_day if last else None) or SILENT,
        "away_day": [away for away, _ in closed],
        "back_day": [back for _, back in closed],
    }


def reckon(columns: Columns, shared: Shared, params: DueParams) -> RuleColumns:
    """Date the restart check: on the promised day, else some days after the fan was made safe."""
    rule = params.out_of_service
    away, promised = columns["open_day"], columns["promised_day"]
    if not away.any():
        return silence(len(away), len(arg_names))
    due = np.where(promised == SILENT, away + rule.restart_days, promised)
    due = np.where(away == SILENT, SILENT, due).astype(np.int32)
    due, overdue = shared.place(due, due + np.int32(rule.grace_days), None)
    return RuleColumns(
        due_day=due,
        overdue_after_day=np.where(due == SILENT, SILENT, overdue).astype(np.int32),
        why=np.where(promised == SILENT, 2, 1).astype(np.int8),
        cannot_tell=np.zeros(len(due), np.int8),
        args=side_by_side(away, promised),
    )


@dataclass(frozen=True)
class Away:
    """Times out of service of N fans.

    closed : spans that are over, the fans' first ones, their second ones and so on, as pairs of the
        day away and the day back, int32 (N,), SILENT for none
    open_day : int32 (N,), SILENT for none
    """

    closed: tuple[tuple[Days, Days], ...]
    open_day: Days

    @staticmethod
    def of(columns: Columns) -> Away:
        """The times out of service that packed histories hold."""
        spans = zip(columns["away_day"].T, columns["back_day"].T, strict=True)
        return Away(
            tuple(takewhile(lambda span: np.count_nonzero(span[0]), spans)), columns["open_day"]
        )

    def move(
        self, due_day: Days, overdue_day: Days, fact_day: Days, fan: NDArray[np.intp] | None
    ) -> tuple[Days, Days]:
        """Move dates past time out of service; silence those that fall into a span still open.

        due_day, overdue_day, fact_day : int32, shape (C,), of the fans numbered, None for all

        Of a span over, days to come move by its length and days passed in it fall on its last day,
        both only where the date's last fact is not younger than the span.
        """
        mine = slice(None) if fan is None else fan
        for each in self.closed:
            away, back = (day[mine] for day in each)
            struck = (away != SILENT) & (due_day >= away) & (fact_day <= away)
            shift = np.where(due_day <= back, back - due_day, back - away) * struck
            due_day, overdue_day = due_day + shift, overdue_day + shift
        if not np.count_nonzero(self.open_day):
            return due_day, overdue_day
        away = self.open_day[mine]
        silenced = (away != SILENT) & (due_day >= away)
        return np.where(silenced, SILENT, due_day), np.where(silenced, SILENT, overdue_day)
