"""Reads a table of readings: rows of one visit are gathered into one record."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID, uuid5

from fleet.imports.cells import NOT_RECORDED
from fleet.imports.complaints import CellError, Complaints, FileError
from fleet.imports.complaints import Complaint as FleetComplaint
from fleet.imports.days import Order, day_order, read_day
from fleet.imports.reading import read_table
from fleet.imports.table import Row, Table, trapped_rows
from fleet.wording import complaint_words, note_sentences, seen_words
from visits.imports.headings import MUST, Heading, find_headings
from visits.imports.parsed import Parsed
from visits.imports.report import LineComplaint
from visits.imports.table_words import Placer
from visits.payload import Complaint, PayloadError, read_record
from visits.payload.fields import as_code
from visits.payload.record import CONTENT_NAMESPACE, canonical_json

_BARE_NUMBER = re.compile(r"[<>]?\s*[-+]?[\d.,/\s-]*\d\.?")
_ISO_DAY = re.compile(r"\d{4}-\d\d-\d\d")
_DAY_BLANK_TIME = re.compile(r"^(\d{4}-\d\d-\d\d) (\d)")
_MIDNIGHT = re.compile(r"[T ]00:00(:00)?$")
_SPOKEN_KINDS = {"pm": "maintenance", "preventive_maintenance": "maintenance"}
_VISIT_KEYS = ("owner", "site", "began_at", "kind", "technician")
Cells = dict[Heading, str]


@dataclass(slots=True)
class _Visit:
    """Rows of one visit: its record under way, and the line and cells of each check."""

    payload: dict[str, Any]
    lines: list[int] = field(default_factory=list)
    cells: list[Cells] = field(default_factory=list)


def read_readings_table(data: bytes) -> Parsed:
    """Every visit of the table, with all that is wrong at its line and heading."""
    parsed = Parsed(is_table=True)
    try:
        table = read_table(data)
    except FileError as error:
        said = FleetComplaint(error.code, int(error.told.get("row", 0)), args=error.told)
        parsed.complaints.append(_retold(said))
        return parsed
    complaints = table.complaints
    if table.rows:
        line, headings, rows = find_headings(table.rows, parsed.complaints)
        _tell_of_traps(table, line, headings, complaints)
        trapped = {
            heading.pointer: trapped_rows(table.traps, heading.position)
            for heading in headings
            if table.traps and heading.key in MUST
        }
        _read_rows(rows, headings, parsed, complaints, trapped)
    parsed.complaints[:0] = map(_retold, complaints)
    parsed.notes.extend(note_sentences(complaints.notes))
    return parsed


def _tell_of_traps(
    table: Table, line: int, headings: Sequence[Heading], complaints: Complaints
) -> None:
    """Cells that only look filled, or spread over others, where they are read."""
    for trap in table.traps:
        read = [h for h in headings if trap.first <= h.position <= trap.last]
        if read and trap.row >= line:
            first = min(read, key=lambda heading: heading.position)
            complaints.add(trap.code, trap.row, first.text, trap.seen)


def _retold(said: FleetComplaint) -> LineComplaint:
    """A complaint of the register's file reader, as one of ours."""
    problem, remedy = complaint_words(said)
    told = Complaint("", problem, seen_words(said), remedy)
    return LineComplaint(said.row, told, said.column, said.others)


def _read_rows(
    rows: Sequence[Row],
    headings: Sequence[Heading],
    parsed: Parsed,
    complaints: Complaints,
    trapped: dict[str, set[int]],
) -> None:
    days = _Days(rows, headings, complaints)
    visits: dict[UUID, _Visit] = {}
    for line, cells in rows:
        told = _told_cells(cells, headings)
        payload = {h.key: text for h, text in told.items() if h.part == "visit"}
        if "began_at" in payload:
            payload["began_at"] = days.read(line, payload["began_at"])
        kind = payload.get("kind", "walk_through")
        payload["kind"] = _SPOKEN_KINDS.get(as_code(kind), kind)
        visit = visits.setdefault(_visit_id(payload), _Visit({**payload, "checks": []}))
        visit.payload["checks"].append(_check(told))
        visit.lines.append(line)
        visit.cells.append(told)
    for id_, visit in visits.items():
        placer = Placer(headings, visit.lines, visit.cells, trapped)
        try:
            parsed.add(read_record(visit.payload, id_=id_), placer.place)
        except PayloadError as error:
            # without its column, or with a date told already, nothing more is wrong with a row
            known = placer.missing | ({"/began_at"} if days.refused(visit.payload) else set())
            parsed.refuse(error, placer.place, known)


def _told_cells(cells: Sequence[str], headings: Sequence[Heading]) -> Cells:
    """What stands in a row; `n/a` and its like say nothing."""
    texts = ((h, cells[h.position].strip()) for h in headings if h.position < len(cells))
    return {heading: text for heading, text in texts if text.casefold() not in NOT_RECORDED}


class _Days:
    """The dates of a table: ISO as it stands, others by the evidence of the whole column."""

    def __init__(
        self, rows: Sequence[Row], headings: Sequence[Heading], complaints: Complaints
    ) -> None:
        self.complaints = complaints
        self.heading = next((h for h in headings if h.key == "began_at"), None)
        self.order = self._order(rows)
        self._refused: set[str] = set()

    def _order(self, rows: Iterable[Row]) -> Order:
        at = self.heading.position if self.heading else 0
        return day_order(cells[at] for _, cells in rows if self.heading and at < len(cells))

    def read(self, line: int, text: str) -> str:
        """The moment as a record has it; text that is no date stays, and is complained of."""
        # spreadsheets hand a day over as its midnight, and part day and time by a blank
        plain = _DAY_BLANK_TIME.sub(r"\1T\2", _MIDNIGHT.sub("", text))
        if _ISO_DAY.match(plain):
            return plain
        try:
            return read_day(text, self.order).isoformat()
        except CellError as error:
            self._refused.add(text)
            column = self.heading.text if self.heading else ""
            self.complaints.add(error.code, line, column, text, **error.told)
            return text

    def refused(self, payload: dict[str, Any]) -> bool:
        """Whether the date of this visit is complained of already."""
        return payload.get("began_at") in self._refused


def _check(told: Cells) -> dict[str, Any]:
    check: dict[str, Any] = {}
    for heading, text in told.items():
        if heading.part == "check":
            check[heading.key] = text
        elif heading.part != "visit":
            check.setdefault(heading.part, {})[heading.key] = _cell(heading, text)
    return check


def _cell(heading: Heading, text: str) -> str:
    """A bare number gets the unit its heading names."""
    bare = heading.unit and _BARE_NUMBER.fullmatch(text)
    return f"{text} {heading.unit}" if bare else text


def _visit_id(payload: dict[str, Any]) -> UUID:
    """One visit for the same site, date, kind and technician, however the file is sorted."""
    key = [payload.get(name, "").casefold() for name in _VISIT_KEYS]
    return uuid5(CONTENT_NAMESPACE, canonical_json(["readings", *key]))
