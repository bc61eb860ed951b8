"""What is wrong with a file, told all at once: each complaint with row, column, value, remedy."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

MOST_KEPT = 10_000
"""A file where every cell is wrong needs no list of a million complaints; the rest is counted."""
LONGEST_SEEN = 80


class CellError(ValueError):
    """A cell that cannot be what its column says; ``code`` and ``args`` make its sentence."""

    def __init__(self, code: str, **args: Any) -> None:
        super().__init__(code)
        self.code, self.told = code, args

    @classmethod
    def from_text(cls, error: ValueError) -> CellError:
        """Wrap the error of a pure module, whose text reads ``problem; remedy``."""
        problem, _, remedy = str(error).partition("; ")
        return cls("told", problem=problem, remedy=remedy)


class FileError(Exception):
    """A file that cannot be read at all; ``code`` and ``args`` make its sentence."""

    def __init__(self, code: str, **args: Any) -> None:
        super().__init__(code)
        self.code, self.told = code, args


@dataclass(frozen=True, slots=True)
class Complaint:
    """One thing wrong; ``row`` is the spreadsheet's own, 0 where no one row is at fault."""

    code: str
    row: int = 0
    column: str = ""
    seen: str = ""
    args: Mapping[str, Any] = field(default_factory=dict)


@dataclass(slots=True)
class Complaints:
    """Everything found wrong, and notes on what was understood with some doubt."""

    found: list[Complaint] = field(default_factory=list)
    notes: list[Complaint] = field(default_factory=list)
    count: int = 0

    def add(self, code: str, row: int = 0, column: str = "", seen: str = "", **args: Any) -> None:
        """Keep a complaint, or only count it where there are too many."""
        self.count += 1
        if len(self.found) < MOST_KEPT:
            self.found.append(Complaint(code, row, column, shortened(seen), args))

    def note(self, code: str, row: int = 0, column: str = "", seen: str = "", **args: Any) -> None:
        """Say what was understood, without refusing anything."""
        if len(self.notes) < MOST_KEPT:
            self.notes.append(Complaint(code, row, column, shortened(seen), args))

    def in_order(self) -> list[Complaint]:
        return sorted(self.found, key=lambda complaint: complaint.row)

    def __bool__(self) -> bool:
        return self.count > 0

    def __iter__(self) -> Iterator[Complaint]:
        return iter(self.in_order())


def shortened(seen: str) -> str:
    """``seen`` at a length that fits a line, control characters shown as escapes."""
    shown = "".join(c if c.isprintable() else ascii(c)[1:-1] for c in seen[: LONGEST_SEEN + 1])
    return shown if len(shown) <= LONGEST_SEEN else f"{shown[: LONGEST_SEEN - 1]}…"
