"""A file as rows of text: which kind it is, and what is refused before anything is read."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from fleet.imports.complaints import Complaints

MOST_BYTES = 20_000_000
MOST_ROWS = 50_000
MOST_COLUMNS = 200
LONGEST_CELL = 4_000

Row = tuple[int, Sequence[str]]
"""The row's number as a spreadsheet shows it, and its cells as text."""


@dataclass(frozen=True, slots=True)
class Trap:
    """Cells that come out empty although the sheet shows something there, or spread over others.

    ``row`` is its last row, ``top`` the first; ``first`` and ``last`` are columns counted from 0,
    ``seen`` is what the sheet shows there, or the place as ``C7:C9``.
    """

    code: str
    top: int
    row: int
    first: int
    last: int
    seen: str


@dataclass(frozen=True, slots=True)
class Table:
    """Rows with any text in them, in order; ``complaints`` holds what reading already found."""

    rows: list[Row]
    complaints: Complaints = field(default_factory=Complaints)
    traps: tuple[Trap, ...] = ()


def trapped_rows(traps: Iterable[Trap], position: int) -> set[int]:
    """Rows in which a trap leaves this column's cell empty: the trap is told of, not the blank."""
    edges: Counter[int] = Counter()
    for trap in traps:
        if trap.first <= position <= trap.last:
            edges[trap.top] += 1
            edges[min(trap.row, MOST_ROWS) + 1] -= 1
    rows: set[int] = set()
    depth, since = 0, 0
    for row in sorted(edges):
        if depth > 0:
            rows.update(range(since, row))
        depth, since = depth + edges[row], row
    return rows


def column_letters(index: int) -> str:
    """The spreadsheet's name of a column counted from 0: ``A``, ``Z``, ``AA``."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def column_number(letters: str) -> int:
    """The inverse of ``column_letters``."""
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - ord("A") + 1
    return number - 1
