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
from schedules.engine.rule import (
    SILENT,
    Columns,
    Fields,
    RuleColumns,
    Shared,
    earliest,
    silence,
)

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


def reckon(columns: Columns, shared: Shared, params: DueParams) -> RuleColumns:
    """Date the next look at what is open; a stop is overdue at once."""
    at = columns["finding_verdict"].nonzero()
    if not at[0].size:
        return silence(len(columns), len(arg_names))
    fan, rule = at[0], params.follow_up
    verdict, subject, seen, said, declined, temporary, own = (
        columns[f"finding_{name}"][at]
        for name in (
            "verdict", "subject", "seen_day", "state_days", "declined", "temporary_day", "own_day",
        )
    )  # fmt: skip
    by_verdict = np.array([0, 0, rule.watch_days, rule.act_days, rule.stop_days], np.int32)
    days = np.where(said >= 0, said, by_verdict[verdict])
    days = np.where(temporary != SILENT, rule.temporary_days, days)
    days = days * np.where(declined, rule.declined_factor, 1)
    fact = np.where((temporary != SILENT) & (own == SILENT), temporary, seen)
    due = np.where(own != SILENT, own, fact + days).astype(np.int32)
    stop = verdict == STOP
    overdue = due + np.where(stop, 0, rule.grace_days).astype(np.int32)
    placed = shared.place(due, overdue, fact, stop, fan)
    worst_first = (STOP - verdict.astype(np.int32)) * 4096 + subject
    first = earliest(len(columns), fan, *placed, worst_first)
    why = np.where(own != SILENT, 3, np.where(temporary != SILENT, 2, 1))
    count = np.bincount(fan, minlength=len(columns))[fan]
    return RuleColumns.of(first, why, (subject, verdict, seen, declined, count))
