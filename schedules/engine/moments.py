"""When one fact comes after another: days first, minutes where both are known, then as told."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Protocol, TypeVar

from schedules.engine.record import Look

Place = tuple[int, int, int]
"""Where a fact stands in time: day, minute, and order within it; sorts before all that follows."""

FOUND, NOTED, WORKED, LEFT = range(4)
DAY_END = 1440


class Moment(Protocol):
    """Anything of the record that has a day and perhaps a minute."""

    @property
    def day(self) -> int:
        """The local day, as an ordinal."""

    @property
    def minute(self) -> int | None:
        """The minute of that day; None where it is not known."""


M = TypeVar("M", bound=Moment)


def later(day: int, minute: int | None, than_day: int, than_minute: int | None) -> bool:
    """True if the first moment is after the second; a day without minutes is never after itself."""
    if day != than_day:
        return day > than_day
    return minute is not None and than_minute is not None and minute > than_minute


def in_time(facts: Iterable[M]) -> Sequence[M]:
    """The facts by day and minute; a missing minute sorts first, and the order told breaks ties."""
    return sorted(facts, key=lambda fact: (fact.day, fact.minute or 0))


class Timeline:
    """Places of one record's facts: looks by minute and as told, other facts between them.

    Notes, then work, stand after the as-found looks up to their minute and before what was left in
    it; without a minute, after the day's last as-found look, and work after its notes too.
    """

    def __init__(self, looks: Iterable[Look], notes: Iterable[Moment] = ()) -> None:
        self.looks: list[tuple[Place, Look]] = []
        self._found: Counter[tuple[int, int]] = Counter()
        self._last_found: dict[int, int] = {}
        for look in in_time(looks):
            found, minute = look.stage == "as_found", look.minute or 0
            if found:
                self._found[look.day, minute] += 1
                self._last_found[look.day] = minute
            self.looks.append((self._place(look.day, minute, FOUND if found else LEFT), look))
        self._last_note = {note.day: note.minute for note in in_time(notes) if note.minute}

    def note(self, day: int, minute: int | None) -> Place:
        """Place of a finding somebody wrote down."""
        found = self._last_found.get(day, 0)
        return self._place(day, found if minute is None else minute, NOTED)

    def work(self, day: int, minute: int | None) -> Place:
        """Place of something done: an action, a cleaning, a reset."""
        seen = max(self._last_found.get(day, 0), self._last_note.get(day, 0))
        return self._place(day, seen if minute is None else minute, WORKED)

    def _place(self, day: int, minute: int, kind: int) -> Place:
        return day, minute, 4 * self._found[day, minute] + kind


def day_end(day: int) -> Place:
    """Place of what has no time of day: answers and closings."""
    return day, DAY_END, 0
