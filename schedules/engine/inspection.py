"""Rule 2, the code inspection: months by cooking class, counted from the day that set them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from schedules.engine import onboarding
from schedules.engine.codes import COOKING
from schedules.engine.months import months_later, next_inspection_day
from schedules.engine.parameters import CodeInspection, DueParams
from schedules.engine.record import FanRecord
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

number = 2
whys = ("", "class", "unknown_class", "never_inspected")
cannot_tells = ("", "no_inspection")
arg_names = ("anchor_day", "months", "count", "class")

UNKNOWN = COOKING.index("unknown")


class Period(NamedTuple):
    """A cooking class (index into COOKING) in force from a day on."""

    from_day: int
    cooking: int


@dataclass(frozen=True)
class Anchor:
    """The inspection from which ``count`` intervals of its ``months`` run; ``last_day`` kept it."""

    day: int = SILENT
    count: int = 0
    months: int = 0
    last_day: int = SILENT

    def next_day(self, months: int) -> int:
        """Day after ``months``: counted from the anchor, or from the last one in another class."""
        if months == self.months:
            return months_later(self.day, self.count * months)
        return months_later(self.last_day, months)


def fields(room: int) -> Fields:
    """The anchor, how often the day was kept since, and the classes from then on."""
    return (
        ("inspection_anchor_day", "i4"),
        ("inspection_count", "i2"),
        ("inspection_months", "i1"),
        ("inspection_last_day", "i4"),
        ("inspection_from_day", "i4", (3 * room,)),
        ("inspection_cooking", "i1", (3 * room,)),
    )


def fold(record: FanRecord, params: DueParams) -> Mapping[str, Any]:
    """Follow the anchor through the inspections of qualified people."""
    periods = _periods(record, params.code)
    days = sorted({done.day for done in record.inspections if done.qualified})
    anchor = _anchor(days, periods, params.code)
    live = [period for period, after in pairwise(periods) if after.from_day > anchor.last_day]
    live.append(periods[-1])
    return {
        "inspection_anchor_day": anchor.day,
        "inspection_count": anchor.count,
        "inspection_months": anchor.months,
        "inspection_last_day": anchor.last_day,
        "inspection_from_day": [period.from_day for period in live],
        "inspection_cooking": [period.cooking for period in live],
    }


def _periods(record: FanRecord, rule: CodeInspection) -> list[Period]:
    """Classes by the day they begin; the first also holds before its day, equal ones are one."""
    classes = {entry.valid_from_day: entry.classes for entry in record.cooking}
    periods: list[Period] = []
    for from_day in sorted(classes):
        cooking = _strictest(classes[from_day], rule)
        if not periods or periods[-1].cooking != cooking:
            periods.append(Period(from_day if periods else 1, cooking))
    return periods or [Period(1, UNKNOWN)]


def _strictest(classes: Sequence[str], rule: CodeInspection) -> int:
    known = [name for name in classes if name in COOKING[1:UNKNOWN]]
    return COOKING.index(min(known, key=lambda name: rule.months((name,)), default="unknown"))


def _months(cooking: int, rule: CodeInspection) -> int:
    return rule.months(() if cooking == UNKNOWN else (COOKING[cooking],))


@lru_cache(maxsize=8)
def _months_by_class(rule: CodeInspection) -> NDArray[np.int64]:
    return np.array([1, *(_months(code, rule) for code in range(1, len(COOKING)))])


def _in_force(periods: Sequence[Period], day: int) -> int:
    return next(period.cooking for period in reversed(periods) if period.from_day <= day)


def _anchor(days: Sequence[int], periods: Sequence[Period], rule: CodeInspection) -> Anchor:
    """Follow the inspections: one on its day is counted, any other becomes the anchor."""
    anchor = Anchor()
    for day in days:
        months = _months(_in_force(periods, day), rule)
        on_day = months == anchor.months and day == anchor.next_day(months)
        if on_day and day == _next(anchor, periods, rule):
            anchor = replace(anchor, count=anchor.count + 1, last_day=day)
        else:
            anchor = Anchor(day, 1, months, day)
    return anchor


def _next(anchor: Anchor, periods: Sequence[Period], rule: CodeInspection) -> int:
    """Scalar twin of ``_first_day`` for one anchor; each period ends where the next begins."""
    ends = [*(period.from_day for period in periods[1:]), FAR]
    days = (
        max(anchor.next_day(_months(period.cooking, rule)), period.from_day) for period in periods
    )
    return next(day for day, end in zip(days, ends, strict=True) if day < end)


def _first_day(columns: Columns, months: NDArray[np.int64]) -> tuple[Days, NDArray[np.intp]]:
    """First day on which the months in force that day have passed, and the place of its class."""
    starts, cooking = columns["inspection_from_day"], columns["inspection_cooking"]
    fan, place = (cooking > 0).nonzero()
    months = months[fan, place]
    same = months == columns["inspection_months"][fan]
    anchor, last = columns["inspection_anchor_day"][fan], columns["inspection_last_day"][fan]
    count = np.where(same, columns["inspection_count"][fan], 1)
    passed = next_inspection_day(np.where(same, anchor, last), months, count)
    ends = np.full(starts.shape, FAR)
    ends[:, :-1] = np.where(cooking[:, 1:] > 0, starts[:, 1:], FAR)
    day = np.full(starts.shape, FAR)
    day[fan, place] = np.maximum(passed, starts[fan, place])
    index = np.where(day < ends, day, FAR).argmin(axis=1)
    return day[np.arange(len(day)), index].astype(np.int32), index


def reckon(columns: Columns, shared: Shared, params: DueParams) -> RuleColumns:
    """Date the next inspection of the system; without one on record it is owed at the start."""
    months = _months_by_class(params.code)[columns["inspection_cooking"]]
    anchor = columns["inspection_anchor_day"]
    none = anchor == SILENT
    day, index = _first_day(columns, months)
    due = np.where(none, onboarding.first_day(columns, params.code.first_days), day)
    due = due.astype(np.int32)
    due, overdue = shared.place(due, due, None)
    rows = np.arange(len(due))
    cooking = columns["inspection_cooking"][rows, index]
    evidence = (np.where(none, np.nan, anchor), months[rows, index], columns["inspection_count"])
    return RuleColumns(
        due_day=due,
        overdue_after_day=overdue,
        why=np.where(none, 3, np.where(cooking == UNKNOWN, 2, 1)).astype(np.int8),
        cannot_tell=none.astype(np.int8),
        args=side_by_side(*evidence, cooking),
    )
