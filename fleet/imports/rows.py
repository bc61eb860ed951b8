"""Every data row read into values, each cell that cannot be read complained of."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from copy import copy
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from fleet.imports.cells import Reader
from fleet.imports.columns import BY_KEY
from fleet.imports.complaints import CellError, Complaints
from fleet.imports.contradictions import contradictions
from fleet.imports.days import Order, day_order
from fleet.imports.headings import Header, Heading
from fleet.imports.table import Row, Trap, trapped_rows
from fleet.ratings import UNREADABLE

Key = tuple[str, str]
COORDINATES: tuple[Key, Key] = ("site", "latitude"), ("site", "longitude")
_DATES = ("date", "days")
_NOTHING: dict[str, Any] = {}


@dataclass(frozen=True, slots=True)
class FanRow:
    """One row of the file: values by part and field, nothing where nothing is recorded.

    ``misread`` are the cells that were complained of.
    """

    number: int
    values: dict[str, dict[str, Any]]
    cells: Sequence[str]
    misread: frozenset[Key] = frozenset()

    def said(self, *keys: Key) -> list[Any]:
        """The values of these keys, None where nothing readable was said."""
        found = []
        for part, field in keys:
            value = self.values.get(part, _NOTHING).get(field)
            found.append(None if value is UNREADABLE else value)
        return found

    def of_part(self, part: str) -> dict[str, Any]:
        """What the row says of one part, by field."""
        return self.values.get(part, _NOTHING)


class RowReader:
    """Reads the rows below a header; knows where each column stands."""

    def __init__(self, header: Header, complaints: Complaints, now: datetime) -> None:
        self.header, self.complaints, self.now = header, complaints, now
        self.by_key = {heading.column.key: heading for heading in header.headings}
        self._required = {h.column.key: h.position for h in header.headings if h.column.required}
        self._trapped: dict[int, set[int]] = {}

    def telling(self, complaints: Complaints) -> RowReader:
        """The same reader, its further complaints kept elsewhere."""
        other = copy(self)
        other.complaints = complaints
        return other

    def read(self) -> list[FanRow]:
        order = self._day_order()
        readers = [(h.position, h, Reader(h.column, h.unit, order)) for h in self.header.headings]
        rows = [self._row(number, cells, readers) for number, cells in self._told_rows()]
        for row in rows:
            self._complain_of_blanks(row)
            self._complain_of_lone_coordinates(row)
            for key, code, args in contradictions(row.said, self.now):
                self.complain(row, key, code, **args)
        return rows

    def _told_rows(self) -> Iterator[Row]:
        """The rows that are no headings again, as where a list was printed page by page."""
        headings = self.header.headings
        width = max(heading.position for heading in headings) + 1
        for number, cells in self.header.rows:
            if len(cells) >= width and all(
                " ".join(cells[heading.position].split()) == heading.text for heading in headings
            ):
                self.complaints.add("headings_again", number)
            else:
                yield number, cells

    def report_traps(self, traps: Sequence[Trap]) -> None:
        """Complain of merged and hollow cells that lie in columns and rows that are read."""
        self._trapped = {at: trapped_rows(traps, at) for at in self._required.values()}
        names = {heading.position: heading.text for heading in self.header.headings}
        for trap in traps:
            # a merged range may be far wider than what is read
            read = [at for at in names if trap.first <= at <= trap.last]
            if read and trap.row >= self.header.row:
                self.complaints.add(trap.code, trap.row, names[min(read)], trap.seen)

    def heading_text(self, key: Key) -> str:
        """The heading as the file has it, else as documented."""
        heading = self.by_key.get(key)
        return heading.text if heading else BY_KEY[key].heading

    def seen(self, row: FanRow, key: Key) -> str:
        """The cell of this row and column as typed."""
        heading = self.by_key.get(key)
        return row.cells[heading.position] if heading and heading.position < len(row.cells) else ""

    def complain(self, row: FanRow, key: Key, code: str, **args: Any) -> None:
        """Complain of one cell of a row."""
        self.complaints.add(code, row.number, self.heading_text(key), self.seen(row, key), **args)

    def _day_order(self) -> Order:
        positions = [h.position for h in self.header.headings if h.column.kind in _DATES]
        return day_order(
            cells[at] for _, cells in self.header.rows for at in positions if at < len(cells)
        )

    def _row(
        self, number: int, cells: Sequence[str], readers: list[tuple[int, Heading, Reader]]
    ) -> FanRow:
        values: dict[str, dict[str, Any]] = {}
        misread: set[Key] = set()
        count = len(cells)
        for position, heading, reader in readers:
            text = cells[position] if position < count else ""
            if not text:
                continue
            try:
                value = reader.read(text)
            except CellError as error:
                self.complaints.add(error.code, number, heading.text, text, **error.told)
                misread.add(heading.column.key)
                continue
            if value is not None:
                values.setdefault(heading.column.part, {})[heading.column.field] = value
        for extra in cells[self.header.width :]:
            if extra.strip():
                self.complaints.add("cell_outside", number, seen=extra)
        return FanRow(number, values, cells, frozenset(misread))

    def _complain_of_blanks(self, row: FanRow) -> None:
        for key, at in self._required.items():
            trapped = row.number in self._trapped.get(at, ())
            if not trapped and row.said(key) == [None] and self.seen(row, key).strip() in ("", "-"):
                self.complain(row, key, "blank")

    def _complain_of_lone_coordinates(self, row: FanRow) -> None:
        given = [key for key in COORDINATES if row.said(key) != [None]]
        if len(given) == 1 and not row.misread.intersection(COORDINATES):
            (missing,) = set(COORDINATES).difference(given)
            self.complain(row, given[0], "coordinate_alone", other=BY_KEY[missing].heading)
