"""Fans of one roof beside each other: a limit that they share is told once, with a column each."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import ceil

from schedules.round_sheet.fan_words import FanSheet, ReadingLine

MOST_FANS = 6
"""More columns than that have no room for a reading by hand on paper; our choice."""

Cell = tuple[str, str | None]
"""A fan's tag and what was read there last; None where this is not asked of it."""


@dataclass(frozen=True)
class ReadingRow:
    """One reading by its limits, and a cell for each fan of the table."""

    name: str
    limits: str
    notes: Sequence[str]
    cells: Sequence[Cell]


@dataclass(frozen=True)
class ReadingTable:
    """Readings of up to ``MOST_FANS`` fans; ``live`` are those on live parts."""

    tags: Sequence[str]
    rows: Sequence[ReadingRow]
    live: Sequence[ReadingRow]

    @property
    def width(self) -> int:
        """How many columns it has."""
        return len(self.tags) + 1


@dataclass(frozen=True)
class LookLine:
    """What to look at on these fans alike."""

    tags: Sequence[str]
    entries: Sequence[str]


def reading_tables(fans: Sequence[FanSheet]) -> list[ReadingTable]:
    """Readings of a roof's fans, in as few tables as have room; none where nothing is read."""
    read = [fan for fan in fans if fan.readings or fan.live]
    if not read:
        return []
    # tables alike in width rather than a full one and a rest
    count = ceil(len(read) / ceil(len(read) / MOST_FANS))
    return [_table(read[at : at + count]) for at in range(0, len(read), count)]


def look_lines(fans: Iterable[FanSheet]) -> list[LookLine]:
    """What to look at, fans of which the same is asked together."""
    found: dict[tuple[str, ...], list[str]] = {}
    for fan in fans:
        if fan.look_at:
            found.setdefault(tuple(fan.look_at), []).append(fan.tag)
    return [LookLine(tags, entries) for entries, tags in found.items()]


def _table(fans: Sequence[FanSheet]) -> ReadingTable:
    return ReadingTable(
        [fan.tag for fan in fans],
        _rows(fans, lambda fan: fan.readings),
        _rows(fans, lambda fan: fan.live),
    )


def _rows(
    fans: Sequence[FanSheet], lines_of: Callable[[FanSheet], Iterable[ReadingLine]]
) -> list[ReadingRow]:
    """Each reading by its limits once; the same reading by other limits comes next to it."""
    found: dict[str, dict[tuple[str, ...], dict[int, str]]] = {}
    for fan in fans:
        for line in lines_of(fan):
            limits = found.setdefault(line.name, {})
            limits.setdefault((line.limits, *line.notes), {})[fan.pk] = line.last
    return [
        ReadingRow(name, limits, notes, [(fan.tag, last.get(fan.pk)) for fan in fans])
        for name, by_limits in found.items()
        for (limits, *notes), last in by_limits.items()
    ]
