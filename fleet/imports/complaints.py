"""What is wrong with a file, told all at once: each complaint with row, column, value, remedy."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from django.utils.translation import gettext as _

from fleet.refusals import ToldError

MOST_KEPT = 10_000
"""A file where every cell is wrong needs no list of a million complaints; the rest is counted."""
LONGEST_SEEN = 80
MOST_RANGES = 30
OF_A_COLUMN = frozenset({"day_unclear", "year_short", "day_serial", "unit_missing"})
"""Habits of a whole column, told once with the first value seen: one remedy mends them all."""


class CellError(ValueError):
    """A cell that cannot be what its column says; ``code`` and ``args`` make its sentence."""

    def __init__(self, code: str, **args: Any) -> None:
        super().__init__(code)
        self.code, self.told = code, args

    @classmethod
    def from_text(cls, error: ValueError) -> CellError:
        """Wrap the error of a pure module, whose text reads ``problem; remedy``."""
        if isinstance(error, ToldError):
            problem, remedy = error.told_by(_)
        else:
            problem, _semicolon, remedy = str(error).partition("; ")
        return cls("told", problem=problem, remedy=remedy)


class FileError(Exception):
    """A file that cannot be read at all; ``code`` and ``args`` make its sentence."""

    def __init__(self, code: str, **args: Any) -> None:
        super().__init__(code)
        self.code, self.told = code, args


@dataclass(frozen=True, slots=True)
class Complaint:
    """One thing wrong; ``row`` is the spreadsheet's own, 0 where no one row is at fault.

    ``others`` are further rows where the very same is wrong.
    """

    code: str
    row: int = 0
    column: str = ""
    seen: str = ""
    args: Mapping[str, Any] = field(default_factory=dict)
    others: tuple[int, ...] = ()

    @property
    def rows(self) -> tuple[int, ...]:
        """Every row it holds for."""
        return (self.row, *self.others) if self.row else ()

    @property
    def is_example(self) -> bool:
        """Whether ``seen`` stands for other values of its column too."""
        return self.code in OF_A_COLUMN and bool(self.others)


@dataclass(slots=True)
class Complaints:
    """Everything found wrong, and notes on what was understood with some doubt.

    The same fault with the same value counts as one thing, however many rows repeat it.
    """

    notes: list[Complaint] = field(default_factory=list)
    count: int = 0
    _found: dict[tuple[str, ...], tuple[Complaint, list[int]]] = field(default_factory=dict)

    def add(self, code: str, row: int = 0, column: str = "", seen: str = "", **args: Any) -> None:
        """Keep a complaint, or only count it where there are too many."""
        self._keep(Complaint(code, row, column, shortened(seen), args))

    def add_error(self, error: FileError) -> None:
        """Keep what stopped the reading of the file."""
        self._keep(Complaint(error.code, int(error.told.get("row", 0)), args=error.told))

    def _keep(self, said: Complaint) -> None:
        seen = "" if said.code in OF_A_COLUMN else said.seen
        key = (said.code, said.column, seen, repr(said.args))
        if key in self._found:
            first, others = self._found[key]
            if said.row not in (first.row, *others[-1:]):
                others.append(said.row)
            return
        self.count += 1
        if len(self._found) < MOST_KEPT:
            self._found[key] = said, []

    def note(self, code: str, row: int = 0, column: str = "", seen: str = "", **args: Any) -> None:
        """Say what was understood, without refusing anything."""
        if len(self.notes) < MOST_KEPT:
            self.notes.append(Complaint(code, row, column, shortened(seen), args))

    def in_order(self) -> list[Complaint]:
        """The complaints by the first row of each."""
        told = [replace(said, others=tuple(rows)) for said, rows in self._found.values()]
        return sorted(told, key=lambda complaint: complaint.row)

    def __bool__(self) -> bool:
        return self.count > 0

    def __iter__(self) -> Iterator[Complaint]:
        return iter(self.in_order())


def rows_text(rows: Iterable[int]) -> str:
    """Row numbers as people list them: ``2, 5-9``."""
    ranges: list[list[int]] = []
    for row in sorted(set(rows)):
        if ranges and row == ranges[-1][1] + 1:
            ranges[-1][1] = row
        else:
            ranges.append([row, row])
    shown = [str(a) if a == b else f"{a}-{b}" for a, b in ranges[:MOST_RANGES]]
    left = sum(b - a + 1 for a, b in ranges[MOST_RANGES:])
    return ", ".join(shown) + (f" and {left} more, the last {ranges[-1][1]}" if left else "")


def shortened(seen: str) -> str:
    """``seen`` at a length that fits a line, control characters shown as escapes."""
    shown = "".join(c if c.isprintable() else ascii(c)[1:-1] for c in seen[: LONGEST_SEEN + 1])
    return shown if len(shown) <= LONGEST_SEEN else f"{shown[: LONGEST_SEEN - 1]}…"
