"""Reads a table of readings: rows of one visit are gathered into one record."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID, uuid5

from fleet.imports.complaints import Complaint as FleetComplaint
from fleet.imports.complaints import FileError
from fleet.imports.reading import read_table
from fleet.imports.table import Table, column_letters
from fleet.wording import complaint_words
from visits.imports.headings import Heading, read_headings
from visits.imports.parsed import Parsed
from visits.imports.report import LineComplaint
from visits.payload import Complaint, PayloadError, read_record
from visits.payload.record import CONTENT_NAMESPACE, canonical_json

_BARE_NUMBER = re.compile(r"[<>]?\s*[-+]?[\d.]+")
_DAY_BLANK_TIME = re.compile(r"^(\d{4}-\d\d-\d\d) (\d)")
_MIDNIGHT = re.compile(r"[T ]00:00(:00)?$")
_VISIT_KEYS = ("owner", "site", "began_at", "kind", "technician")


@dataclass(slots=True)
class _Visit:
    """Rows of one visit: its record under way and the line of each check."""

    payload: dict[str, Any]
    lines: list[int] = field(default_factory=list)


def read_readings_table(data: bytes) -> Parsed:
    """Every visit of the table, with all that is wrong at its line and heading."""
    parsed = Parsed()
    try:
        table = read_table(data)
    except FileError as error:
        said = FleetComplaint(error.code, int(error.told.get("row", 0)), args=error.told)
        parsed.complaints.append(_retold(said))
        return parsed
    _tell_of_table(table, parsed)
    if table.rows:
        line, cells = table.rows[0]
        headings = read_headings(line, cells, parsed.complaints)
        if not parsed.complaints:
            _read_rows(table.rows[1:], headings, parsed)
    return parsed


def _tell_of_table(table: Table, parsed: Parsed) -> None:
    """What reading the file already found, and cells that only look filled."""
    parsed.complaints.extend(map(_retold, table.complaints))
    for trap in table.traps:
        letters = column_letters(trap.first)
        parsed.complaints.append(_retold(FleetComplaint(trap.code, trap.row, letters, trap.seen)))


def _retold(said: FleetComplaint) -> LineComplaint:
    """A complaint of the register's file reader, as one of ours."""
    problem, remedy = complaint_words(said)
    return LineComplaint(said.row, Complaint("", problem, said.seen, remedy), said.column)


def _read_rows(
    rows: Iterable[tuple[int, Sequence[str]]], headings: list[Heading], parsed: Parsed
) -> None:
    visits: dict[UUID, _Visit] = {}
    for line, cells in rows:
        told = [(h, cells[h.position].strip()) for h in headings if h.position < len(cells)]
        told = [(heading, text) for heading, text in told if text]
        payload = {h.key: _moment(text) if h.key == "began_at" else text
                   for h, text in told if h.part == "visit"}  # fmt: skip
        payload.setdefault("kind", "walk_through")
        visit = visits.setdefault(_visit_id(payload), _Visit({**payload, "checks": []}))
        visit.payload["checks"].append(_check(told))
        visit.lines.append(line)
    for id_, visit in visits.items():
        place = _placer(visit, headings)
        try:
            parsed.add(read_record(visit.payload, id_=id_), place)
        except PayloadError as error:
            parsed.complaints.extend(map(place, error.complaints))


def _check(told: list[tuple[Heading, str]]) -> dict[str, Any]:
    check: dict[str, Any] = {}
    for heading, text in told:
        if heading.part == "check":
            check[heading.key] = text
        elif heading.part != "visit":
            check.setdefault(heading.part, {})[heading.key] = _cell(heading, text)
    return check


def _cell(heading: Heading, text: str) -> str:
    """A bare number gets the unit its heading names."""
    bare = heading.unit and _BARE_NUMBER.fullmatch(text)
    return f"{text} {heading.unit}" if bare else text


def _moment(text: str) -> str:
    """Spreadsheets hand a day over as its midnight, and part day and time by a blank."""
    return _DAY_BLANK_TIME.sub(r"\1T\2", _MIDNIGHT.sub("", text))


def _visit_id(payload: dict[str, Any]) -> UUID:
    """One visit for the same site, date, kind and technician, however the file is sorted."""
    key = [payload.get(name, "").casefold() for name in _VISIT_KEYS]
    return uuid5(CONTENT_NAMESPACE, canonical_json(["readings", *key]))


def _placer(visit: _Visit, headings: list[Heading]) -> Callable[[Complaint], LineComplaint]:
    """From a JSON pointer within the record back to line and heading."""
    by_pointer = {heading.pointer: heading.text for heading in headings}

    def place(said: Complaint) -> LineComplaint:
        line, rest = visit.lines[0], said.pointer
        match = re.fullmatch(r"/checks/(\d+)(/.*)?", said.pointer)
        if match:
            line, rest = visit.lines[int(match[1])], match[2] or ""
        # A complaint deeper than a cell (a unit within a reading) belongs to its cell.
        column = next((by_pointer[p] for p in _upwards(rest) if p in by_pointer), "")
        bare = Complaint("", said.problem, said.seen, said.remedy) if column else said
        return LineComplaint(line, bare, column)

    return place


def _upwards(pointer: str) -> Iterable[str]:
    while pointer:
        yield pointer
        pointer = pointer.rpartition("/")[0]
