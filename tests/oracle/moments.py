"""When things happened: the order of a fan's facts, and months by the calendar."""

from __future__ import annotations

import calendar
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from schedules.engine.record import Action, Event, FanRecord, Look

DAYS_OF_A_MONTHS_FRACTION = 30


@dataclass(frozen=True)
class Live:
    """One date that stands: ``fact_day`` is the day of the last fact it was computed from."""

    rule: int
    due: int
    overdue: int
    fact_day: int
    stop: bool = False
    why: str = ""


def add_months(day: int, months: Fraction | int) -> int:
    """Whole months, clamped to the month's end; the fraction left x 30 days, rounded down."""
    whole = int(months // 1)
    start = date.fromordinal(day)
    years, month0 = divmod(start.month - 1 + whole, 12)
    year, month = start.year + years, month0 + 1
    clamped = min(start.day, calendar.monthrange(year, month)[1])
    rest = int((Fraction(months) - whole) * DAYS_OF_A_MONTHS_FRACTION)
    return date(year, month, clamped).toordinal() + rest


def later(look: Look, day: int, minute: int | None) -> bool:
    """Whether a check began later than a moment; on one day only if both times are known."""
    if look.day != day:
        return look.day > day
    return look.minute is not None and minute is not None and look.minute > minute


def in_order(looks: Iterable[Look]) -> list[Look]:
    """Checks by day, by minute (unknown: 0), then as told."""
    return sorted(looks, key=lambda look: (look.day, look.minute or 0))


def looks_as_found(record: FanRecord) -> list[Look]:
    return [look for look in in_order(record.looks) if look.stage == "as_found"]


# Where a fact stands in a fan's history: day, place among the looks of the day, minute, rank, told.
Place = tuple[int, int, int, int, int]
NOTED, DONE, ANSWERED, CLOSED = range(4)
END_OF_DAY = 1_000_000


def _leading_looks(looks: list[Look], minute: int | None) -> int:
    """How many of a day's looks, from its first, stand before a thing done at ``minute``."""
    leading = 0
    for count, look in enumerate(looks, start=1):
        if look.stage == "as_found":
            before = minute is None or (look.minute or 0) <= minute
        else:
            before = minute is not None and (look.minute or 0) < minute
        if before:
            leading = count
    return leading


class History:
    """Gives every fact of a record its place, so that they can be walked through in order."""

    def __init__(self, record: FanRecord) -> None:
        self.looks = in_order(record.looks)
        self._by_day: dict[int, list[Look]] = {}
        for look in self.looks:
            self._by_day.setdefault(look.day, []).append(look)

    def of_looks(self) -> list[tuple[Place, Look]]:
        places = []
        for day, looks in self._by_day.items():
            for index, look in enumerate(looks):
                places.append(((day, 2 * index + 1, 0, 0, 0), look))
        return sorted(places, key=lambda placed: placed[0])

    def of(self, rank: int, day: int, minute: int | None, told: int) -> Place:
        """The place of something noted or done; an untimed one follows the as-found looks.

        Nothing untimed is known to be done before it was noted.
        """
        leading = _leading_looks(self._by_day.get(day, []), minute)
        if minute is None:
            minute = -1 if rank == NOTED else END_OF_DAY
        return (day, 2 * leading, minute, rank, told)

    def of_action(self, action: Action, told: int) -> Place:
        return self.of(DONE, action.day, action.minute, told)

    def of_event(self, event: Event, told: int) -> Place:
        return self.of(DONE, event.end_day, event.end_minute, told)

    @staticmethod
    def end_of_day(rank: int, day: int, told: int) -> Place:
        return (day, END_OF_DAY, 0, rank, told)
