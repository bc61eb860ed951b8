"""Rule 2: when the code inspection of the system is due."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

from schedules.engine.record import Cooking, FanRecord
from tests.oracle.moments import Live, add_months

# NFPA 96 Table 12.4 (11.4 and 11.3 in earlier editions).
MONTHS = {"solid_fuel": 1, "high": 3, "moderate": 6, "low": 12}
MONTHS_UNKNOWN = 3


def months_in_force(cooking: tuple[Cooking, ...], day: int) -> int:
    """The strictest class in force on a day; before the first entry, the first entry's."""
    entries = sorted(cooking, key=lambda entry: entry.valid_from_day)
    if not entries:
        return MONTHS_UNKNOWN
    begun = [entry for entry in entries if entry.valid_from_day <= day]
    entry = begun[-1] if begun else entries[0]
    return min((MONTHS[c] for c in entry.classes if c in MONTHS), default=MONTHS_UNKNOWN)


def next_due(last_day: int, anchor: int, n: int, months_on: Callable[[int], int]) -> int:
    """The first day after the last inspection that is n intervals of that day past the anchor."""
    reached: dict[int, int] = {}
    day = last_day + 1
    while True:
        months = months_on(day)
        if months not in reached:
            reached[months] = add_months(anchor, n * months)
        if day >= reached[months]:
            return day
        day += 1


def inspection_due(days: list[int], months_on: Callable[[int], int]) -> int:
    """The due day after inspections on ``days``: one on its due day keeps the anchor."""
    anchor, n = days[0], 1
    for previous, day in pairwise(days):
        due = next_due(previous, anchor, n, months_on)
        if day == due and months_on(day) == months_on(anchor):
            n += 1
        else:
            anchor, n = day, 1
    return next_due(days[-1], anchor, n, months_on)


def code_inspection(record: FanRecord) -> tuple[Live, list[str]]:
    days = sorted({inspection.day for inspection in record.inspections if inspection.qualified})
    if not days:
        onboarding = record.onboarding_day
        due = record.entered_day + 14 if onboarding is None else onboarding
        return Live(2, due, due, record.entered_day), ["no_inspection"]
    due = inspection_due(days, lambda day: months_in_force(record.cooking, day))
    return Live(2, due, due, days[-1]), []
