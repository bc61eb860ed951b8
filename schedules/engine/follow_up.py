"""Rule 6, follow-up: an open finding is looked at again on its own date or after its days."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from fleet.quantities import VIBRATION_POINTS
from schedules.engine.codes import STOP, subject_code
from schedules.engine.findings import standing_findings
from schedules.engine.parameters import DueParams
from schedules.engine.record import FanRecord
from schedules.engine.rule import SILENT, Columns, Days, Fields, RuleColumns, Shared, earliest

number = 6
whys = ("", "open", "temporary", "own_date")
cannot_tells = ("",)
arg_names = ("subject", "verdict", "seen_day", "declined", "open_count")

OF_VIBRATION = frozenset(
    {"vibration", "vibration_felt", *(f"vibration_{point}" for point in VIBRATION_POINTS)}
)
"""Subjects that rule 5 dates; they count only for what is worst."""


def fields(room: int) -> Fields:
    """Open findings in order of their subjects."""
    shape = (6 * room,)
    return (
        ("worst_standing", "i1"),
        ("finding_subject", "i2", shape),
        ("finding_verdict", "i1", shape),
        ("finding_seen_day", "i4", shape),
        ("finding_state_days", "i2", shape),
        ("finding_declined", "?", shape),
        ("finding_temporary_day", "i4", shape),
        ("finding_own_day", "i4", shape),
    )


def fold(record: FanRecord, params: DueParams) -> Mapping[str, Any]:
    """Pick the findings that stand."""
    standing = standing_findings(record)
    found = [finding for finding in standing if finding.subject not in OF_VIBRATION]
    return {
        "worst_standing": max((finding.verdict for finding in standing), default=0),
        "finding_subject": [subject_code(finding.subject) for finding in found],
        "finding_verdict": [finding.verdict for finding in found],
        "finding_seen_day": [finding.seen_day for finding in found],
        "finding_state_days": [finding.state_days for finding in found],
        "finding_declined": [finding.declined for finding in found],
        "finding_temporary_day": [finding.temporary_day for finding in found],
        "finding_own_day": [finding.own_day for finding in found],
    }


def _dates(columns: Columns, params: DueParams) -> tuple[Days, Days]:
    """Due day of each finding and the day of the fact behind it, shape (N, K)."""
    rule, verdict = params.follow_up, columns["finding_verdict"]
    own, temporary = columns["finding_own_day"], columns["finding_temporary_day"]
    by_verdict = np.array([0, 0, rule.watch_days, rule.act_days, rule.stop_days], np.int32)
    said = columns["finding_state_days"]
    days = np.where(said >= 0, said, by_verdict[verdict])
    days = np.where(temporary != SILENT, rule.temporary_days, days)
    days = days * np.where(columns["finding_declined"], rule.declined_factor, 1)
    seen = columns["finding_seen_day"]
    fact = np.where((temporary != SILENT) & (own == SILENT), temporary, seen)
    due = np.where(own != SILENT, own, fact + days)
    return np.where(verdict == 0, SILENT, due).astype(np.int32), fact.astype(np.int32)


def reckon(columns: Columns, shared: Shared, params: DueParams) -> RuleColumns:
    """Date the next look at what is open; a stop is overdue at once."""
    verdict, subject = columns["finding_verdict"], columns["finding_subject"]
    stop = verdict == STOP
    due, fact = _dates(columns, params)
    overdue = due + np.where(stop, 0, params.follow_up.grace_days).astype(np.int32)
    due, overdue = shared.place(due, overdue, fact, stop)
    due, overdue, index = earliest(due, overdue, (STOP - verdict.astype(np.int32)) * 4096 + subject)
    rows = np.arange(len(due))
    own = columns["finding_own_day"][rows, index] != SILENT
    temporary = columns["finding_temporary_day"][rows, index] != SILENT
    evidence = [columns[f"finding_{name}"][rows, index] for name in arg_names[:4]]
    return RuleColumns(
        due_day=due,
        overdue_after_day=overdue,
        why=np.where(own, 3, np.where(temporary, 2, 1)).astype(np.int8),
        cannot_tell=np.zeros(len(due), np.int8),
        args=np.column_stack([*evidence, (verdict > 0).sum(axis=1)]).astype(np.float32),
    )
