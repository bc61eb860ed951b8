"""When one fact comes after another: days first, minutes where both are known."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Protocol, TypeVar


class Moment(Protocol):
    """Anything of the record that has a day and perhaps a minute."""

    @property
    def day(self) -> int: ...

    @property
    def minute(self) -> int | None: ...


M = TypeVar("M", bound=Moment)


def later(day: int, minute: int | None, than_day: int, than_minute: int | None) -> bool:
    """True if the first moment is after the second; a day without minutes is never after itself."""
    if day != than_day:
        return day > than_day
    return minute is not None and than_minute is not None and minute > than_minute


def in_time(facts: Iterable[M]) -> Sequence[M]:
    """The facts by day and minute; a missing minute sorts first, and the order told breaks ties."""
    return sorted(facts, key=lambda fact: (fact.day, fact.minute or 0))
