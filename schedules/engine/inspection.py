"""Rule 2, the code inspection: months by cooking class, counted from the day that set them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from schedules.engine import onboarding
from schedules.engine.codes import COOKING
from schedules.engine.months import months_later, next_inspection_day
from schedules.engine.parameters import CodeInspection, DueParams
from schedules.engine.record import FanRecord
from schedules.engine.rule import FAR, SILENT, Columns, Days, Fields, RuleColumns, Shared

number = 2
whys = ("", "class", "unknown_class", "never_inspected")
cannot_tells = ("", "no_inspection")
arg_names = ("anchor_day", "months", "count", "class")

UNKNOWN = COOKING.index("unknown")


class Period(NamedTuple):
    """A cooking class (index into COOKING) in force from a day on."""

    from_day: int
    cooking: int


def fields(room: int) -> Fields:
    """The anchor, how often the day was kept since, and the classes from then on."""
    return (
        ("inspection_anchor_day", "i4"),
        ("inspection_count", "i2"),
        ("inspection_from_day", "i4", (3 * room,)),
        ("inspection_cooking", "i1", (3 * room,)),
    )


def fold(record: FanRecord, params: DueParams) -> Mapping[str, Any]:
    """Follow the anchor through the inspections of qualified people."""
    periods = _periods(record, params.code)
    days = sorted({done.day for done in record.inspections if done.qualified})
    anchor, count = _anchor(days, periods, params.code)
    live = [period for period, after in pairwise(periods) if after.from_day > anchor]
    live.append(periods[-1])
    return {
        "inspection_anchor_day": anchor,
        "inspection_count": count,
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


def _in_force(periods: Sequence[Period], day: int) -> int:
    return next(period.cooking for period in reversed(periods) if period.from_day <= day)


def _anchor(
    days: Sequence[int], periods: Sequence[Period], rule: CodeInspection
) -> tuple[int, int]:
    """Day of the inspection that last moved the date, and how many intervals to count from it."""
    anchor, count, kept = SILENT, 0, 0
    for day in days:
        months = _months(_in_force(periods, day), rule)
        if anchor != SILENT and months == kept and day == _next(anchor, count, periods, rule):
            count += 1
        else:
            anchor, count, kept = day, 1, months
    return anchor, count


def _next(anchor: int, count: int, periods: Sequence[Period], rule: CodeInspection) -> int:
    """Scalar twin of ``_first_day`` for one anchor; each period ends where the next begins."""
    for place, period in enumerate(periods):
        day = max(months_later(anchor, count * _months(period.cooking, rule)), period.from_day)
        if place + 1 == len(periods) or day < periods[place + 1].from_day:
            return day
    raise AssertionError("the last period has no end")


def _first_day(columns: Columns, months: NDArray[np.int64]) -> tuple[Days, NDArray[np.intp]]:
    """First day on which the months in force that day have passed, and the place of its class."""
    starts, cooking = columns["inspection_from_day"], columns["inspection_cooking"]
    anchor, count = columns["inspection_anchor_day"], columns["inspection_count"]
    fan, place = (cooking > 0).nonzero()
    passed = next_inspection_day(anchor[fan], months[fan, place], count[fan])
    ends = np.full(starts.shape, FAR)
    ends[:, :-1] = np.where(cooking[:, 1:] > 0, starts[:, 1:], FAR)
    day = np.full(starts.shape, FAR)
    day[fan, place] = np.maximum(passed, starts[fan, place])
    index = np.where(day < ends, day, FAR).argmin(axis=1)
    return day[np.arange(len(day)), index].astype(np.int32), index


def reckon(columns: Columns, shared: Shared, params: DueParams) -> RuleColumns:
    """Date the next inspection of the system; without one on record it is owed at the start."""
    table = np.array([1, *(_months(code, params.code) for code in range(1, len(COOKING)))])
    months = table[columns["inspection_cooking"]]
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
        args=np.column_stack([*evidence, cooking]).astype(np.float32),
    )
