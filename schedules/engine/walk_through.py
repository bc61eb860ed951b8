"""Rule 1, the walk-through: months from the last completed one by condition and what is wanted."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fleet.quantities import LOOK_LISTS
from schedules.engine import onboarding
from schedules.engine.codes import ACT, CONDITIONS, RELIABILITIES, WITHIN
from schedules.engine.lasting import worst_verdicts
from schedules.engine.moments import in_time
from schedules.engine.months import add_months
from schedules.engine.parameters import DueParams, Multipliers
from schedules.engine.record import FanRecord, Look
from schedules.engine.rule import (
    FAR,
    SILENT,
    Columns,
    Days,
    Fields,
    RuleColumns,
    Shared,
    side_by_side,
)
from schedules.engine.series import Floats

number = 1
whys = ("", "interval", "never_seen", "after_expected_cleaning")
cannot_tells = ("",)
arg_names = ("last_day", "base_months", "months", "condition", "reliability", "not_before_day")

LISTS = {False: "walk_through_direct", True: "walk_through_belt"}
_LISTED = {belt: frozenset(LOOK_LISTS[name]) for belt, name in LISTS.items()}


def fields(room: int) -> Fields:
    """The last completed walk-through and what its interval depends on."""
    return (
        ("walk_last_day", "i4"),
        ("walk_worst", "i1"),
        ("walk_good", "?"),
        ("walk_harsh", "?"),
        ("walk_reliability", "i1"),
        ("walk_stretching", "?"),
        ("walk_cleaning_day", "i4", (3 * room,)),
    )


def fold(record: FanRecord, params: DueParams) -> Mapping[str, Any]:
    """Pick the last two completed walk-throughs and the hood cleanings still expected."""
    completed = [look for look in in_time(record.looks) if _completes(record, look)][-2:]
    worst = worst_verdicts(record, completed)
    last = completed[-1] if completed else None
    unjudged = any(look.required_unjudged for look in completed)
    good = len(completed) == 2 and max(worst) <= WITHIN and not unjudged
    return {
        "walk_last_day": last.day if last else SILENT,
        "walk_worst": worst[-1] if worst else 0,
        "walk_good": good,
        "walk_harsh": record.harsh or record.machines[-1].belt_drive,
        "walk_reliability": RELIABILITIES.index(record.reliability),
        "walk_stretching": record.stretching,
        "walk_cleaning_day": _expected(record, params, last.day) if last and good else [],
    }


def list_for(*, belt_drive: bool) -> frozenset[str]:
    """What a walk-through of such a machine has to answer."""
    return _LISTED[belt_drive]


def is_walk_through(record: FanRecord, look: Look) -> bool:
    """True if the look answered all that the machine in place then requires."""
    return list_for(belt_drive=record.machines[look.machine].belt_drive) <= look.answered


def _completes(record: FanRecord, look: Look) -> bool:
    return look.stage == "as_found" and is_walk_through(record, look)


def _expected(record: FanRecord, params: DueParams, last_day: int) -> list[int]:
    """Expected cleanings that none has used up and that lie within reach of the next due day."""
    ends = sorted(event.end_day for event in record.events if event.kind == "hood_cleaning")
    left = unused_cleanings(record.expected_cleanings, ends, params.cleaning.expected_match_days)
    months = max(params.walk.longest_months, params.walk.harsh_longest_months) + 1
    return [day for day in left if last_day <= day <= last_day + 31 * months]


def unused_cleanings(expected: Iterable[int], ends: Iterable[int], match_days: int) -> list[int]:
    """Expected days left after each cleaning used up the nearest, of two as near the earlier."""
    left = sorted(expected)
    for end in ends:
        nearest = min(left, key=lambda day: (abs(day - end), day), default=None)
        if nearest is not None and abs(nearest - end) <= match_days:
            left.remove(nearest)
    return left


@lru_cache(maxsize=8)
def _factors(multipliers: Multipliers) -> NDArray[np.float64]:
    return np.array(
        [[multipliers.factor(row, wanted) for wanted in RELIABILITIES] for row in CONDITIONS]
    )


def _condition(columns: Columns) -> NDArray[np.int8]:
    """Index into CONDITIONS, shape (N,)."""
    poor = columns["walk_worst"] >= ACT
    return np.where(poor, 0, np.where(columns["walk_good"], 2, 1)).astype(np.int8)


def intervals(columns: Columns, params: DueParams) -> tuple[Floats, Floats]:
    """Base and interval [months], each shape (N,)."""
    rule, harsh = params.walk, columns["walk_harsh"]
    base = np.where(harsh, rule.harsh_base_months, rule.base_months)
    factor = _factors(rule.multipliers)[_condition(columns), columns["walk_reliability"]]
    may_stretch = columns["walk_good"] & columns["walk_stretching"]
    factor = np.where(may_stretch, factor, np.minimum(factor, 1.0))
    longest = np.where(harsh, rule.harsh_longest_months, rule.longest_months)
    return base, np.minimum(base * factor, longest)


@dataclass(frozen=True)
class Walks:
    """The walk-throughs of N fans as all rules reckon with them; satisfies ``rule.Walk``."""

    columns: Columns
    params: DueParams

    @cached_property
    def months(self) -> tuple[Floats, Floats]:
        """Base and interval [months]."""
        return intervals(self.columns, self.params)

    @cached_property
    def due_day(self) -> Days:
        """Day of the next walk-through after its interval, before any move, int32 (N,)."""
        first = onboarding.first_day(self.columns, self.params.walk.first_days)
        later = add_months(self.last_day, self.months[1])
        return np.where(self.last_day == SILENT, first, later).astype(np.int32)

    @property
    def last_day(self) -> Days:
        """The last completed one."""
        return self.columns["walk_last_day"]


def _after_cleaning(columns: Columns, due: Days, overdue: Days, params: DueParams) -> Days:
    """First expected cleaning worth waiting for, int32 (N,), SILENT where there is none."""
    expected = columns["walk_cleaning_day"]
    wait = params.cleaning.expected_due_days
    fits = (expected >= due[:, None]) & (expected + wait <= overdue[:, None])
    first = np.where(fits & (expected != SILENT), expected, FAR).min(axis=1)
    return np.where((first != FAR) & columns["walk_good"], first, SILENT).astype(np.int32)


def reckon(columns: Columns, shared: Shared, params: DueParams) -> RuleColumns:
    """Date the next walk-through, after an expected hood cleaning where that is soon enough."""
    rule, cleaning = params.walk, params.cleaning
    last, due = columns["walk_last_day"], shared.walk.due_day
    overdue = due + np.int32(rule.grace_days)
    after = _after_cleaning(columns, due, overdue, params)
    waits = after != SILENT
    fact = np.where(last == SILENT, columns["entered_day"], last)
    due, overdue = shared.place(
        np.where(waits, after + cleaning.expected_due_days, due), overdue, fact
    )
    base, months = shared.walk.months
    not_before = np.where(waits, after + cleaning.expected_not_before_days, np.nan)
    seen = np.where(last == SILENT, np.nan, last)
    evidence = (seen, base, months, _condition(columns), columns["walk_reliability"], not_before)
    return RuleColumns(
        due_day=due,
        overdue_after_day=overdue,
        why=np.where(last == SILENT, 2, np.where(waits, 3, 1)).astype(np.int8),
        cannot_tell=np.zeros(len(due), np.int8),
        args=side_by_side(*evidence),
    )
