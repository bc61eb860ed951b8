"""Rule 8, failure odds: sooner at a position that has failed before, by how often it fails."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np

from schedules.engine.parameters import DueParams
from schedules.engine.record import FailurePrior, FanRecord, OutOfService
from schedules.engine.rule import (
    SILENT,
    Columns,
    Fields,
    RuleColumns,
    Shared,
    earliest,
    silence,
)
from schedules.engine.series import whole_days
from schedules.engine.watching import watch_begins

number = 8
whys = ("", "assumed_prior", "fitted_prior")
cannot_tells = ("",)
arg_names = (
    "losses", "watched_years", "rate_a_year", "prior_a_year", "prior_fans", "share", "odds", "days",
    "wait_days", "walked_day",
)  # fmt: skip

DAYS_A_YEAR = 365.25
CLASSES = ("direct", "belt")
"""Drives, as machines name them: fans of one are held to fail alike."""


def fields(room: int) -> Fields:
    """What was counted at the position, over how long, and what is thought of its like."""
    return (
        ("failure_count", "i2"),
        ("failure_watched", "i4"),
        ("failure_class", "i1"),
        ("failure_shape", "f8"),
        ("failure_years", "f8"),
        ("failure_fans", "i4"),
    )


def fold(record: FanRecord, params: DueParams) -> Mapping[str, Any]:
    """Count the days on which the fan failed and those on which that would have been noted."""
    rule = params.odds
    prior = record.prior or FailurePrior(rule.prior_shape, rule.prior_a_year)
    return {
        "failure_count": len(set(record.failed_days)),
        "failure_watched": watched_days(record),
        "failure_class": int(record.machines[-1].belt_drive),
        "failure_shape": prior.shape,
        "failure_years": prior.shape / prior.mean_a_year,
        "failure_fans": prior.fans,
    }


def watched_days(record: FanRecord) -> int:
    """Days from where watching began to the last thing on record, time out of service left out.

    The last is a look, a finding or a failure: nothing here depends on today.
    """
    told = [look.day for look in record.looks]
    told += [note.day for note in record.noted]
    told += record.failed_days
    if not told:
        return 0
    first, last = watch_begins(record.entered_day, told, record.failed_days), max(told)
    return max(0, last - first - _days_away(record.out_of_service, first, last))


def _days_away(spans: Iterable[OutOfService], first: int, last: int) -> int:
    """Days out of service between two days; spans that overlap count once."""
    away, counted = 0, first
    for span in sorted(spans, key=lambda span: span.day):
        back = last if span.restarted_day is None else min(span.restarted_day, last)
        away += max(0, back - max(span.day, counted))
        counted = max(counted, back)
    return away


def reckon(columns: Columns, shared: Shared, params: DueParams) -> RuleColumns:
    """Date the walk-through before which a failure that it could prevent is still unlikely."""
    rule = params.odds
    often = columns["failure_count"] >= rule.least_losses
    fan = np.flatnonzero(often & (shared.walk.last_day != SILENT))
    if not len(fan):
        return silence(len(columns), len(arg_names))
    count, last = columns["failure_count"][fan], shared.walk.last_day[fan]
    shape, prior_years = columns["failure_shape"][fan], columns["failure_years"][fan]
    years = columns["failure_watched"][fan] / DAYS_A_YEAR
    rate = (shape + count) / (prior_years + years)
    days = whole_days(rule.odds / (rule.preventable_share * rate) * DAYS_A_YEAR)
    wait = np.minimum(np.maximum(days, rule.least_days), shared.walk.due_day[fan] - last)
    due = (last + wait).astype(np.int32)
    due, overdue = shared.place(due, due + np.int32(rule.grace_days), last, fan=fan)
    fitted = columns["failure_fans"][fan] > 0
    evidence = (
        count, years, rate, shape / prior_years,
        np.where(fitted, columns["failure_fans"][fan], np.nan),
        np.full(len(fan), rule.preventable_share), np.full(len(fan), rule.odds), days,
        wait, last,
    )  # fmt: skip
    first = earliest(len(columns), fan, due, overdue)
    return RuleColumns.of(first, np.where(fitted, 2, 1), evidence)
