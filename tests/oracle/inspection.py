"""Rule 2: when the code inspection of the system is due."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from schedules.engine.record import Cooking, FanRecord
from tests.oracle.moments import Live, add_months

# NFPA 96 Table 12.4 (11.4 and 11.3 in earlier editions).
MONTHS = {"solid_fuel": 1, "high": 3, "moderate": 6, "low": 12}
MONTHS_UNKNOWN = 3


def months_in_force(cooking: tuple[Cooking, ...], day: int) -> int:
    """The strictest class in force on a day; before the first entries, theirs."""
    if not cooking:
        return MONTHS_UNKNOWN
    since = max(day, min(entry.valid_from_day for entry in cooking))
    begun = [entry for entry in cooking if entry.valid_from_day <= since]
    entry = sorted(begun, key=lambda entry: entry.valid_from_day)[-1]
    return min((MONTHS[c] for c in entry.classes if c in MONTHS), default=MONTHS_UNKNOWN)


@dataclass
class Cycle:
    """Where the inspections stand: ``n`` intervals from the anchor lead to the next one."""

    anchor: int
    last: int
    n: int
    months_on: Callable[[int], int]

    def due(self) -> int:
        """The first day that is late enough by the months then in force.

        While they are the anchor's own they count from the anchor, else from the last inspection.
        """
        own = self.months_on(self.anchor)
        reached = {own: add_months(self.anchor, self.n * own)}
        day = self.last + 1
        while True:
            months = self.months_on(day)
            reached.setdefault(months, add_months(self.last, months))
            if day >= reached[months]:
                return day
            day += 1

    def inspected(self, day: int) -> None:
        """An inspection on its due day keeps the anchor, on any other day becomes it."""
        own = self.months_on(self.anchor)
        on_its_day = day == self.due() == add_months(self.anchor, self.n * own)
        if on_its_day and self.months_on(day) == own:
            self.n += 1
        else:
            self.anchor, self.n = day, 1
        self.last = day


def inspection_due(days: list[int], months_on: Callable[[int], int]) -> int:
    cycle = Cycle(days[0], days[0], 1, months_on)
    for day in days[1:]:
        cycle.inspected(day)
    return cycle.due()


def code_inspection(record: FanRecord) -> tuple[Live, list[str]]:
    days = sorted({inspection.day for inspection in record.inspections if inspection.qualified})
    if not days:
        onboarding = record.onboarding_day
        due = record.entered_day + 14 if onboarding is None else onboarding
        return Live(2, due, due, record.entered_day), ["no_inspection"]
    due = inspection_due(days, lambda day: months_in_force(record.cooking, day))
    return Live(2, due, due, days[-1]), []
