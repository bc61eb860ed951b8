"""Complaints about a record told in the words of the table it came from: heading, row, cell."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace

from fleet.imports.complaints import shortened
from visits.imports.headings import MUST, Heading
from visits.imports.report import LineComplaint
from visits.payload import Complaint

_CODE = re.compile(r"\b[a-z]+(?:_[a-z]+)+\b")


class Placer:
    """Finds the rows and the heading of a complaint about one visit.

    ``lines`` and ``cells`` are those of its checks, in order.
    """

    def __init__(
        self,
        headings: Sequence[Heading],
        lines: Sequence[int],
        cells: Sequence[Mapping[Heading, str]],
        trapped: Mapping[str, Collection[int]],
    ) -> None:
        self.lines, self.cells = lines, cells
        self.by_pointer = {heading.pointer: heading for heading in headings}
        self.missing = set(self._missing(trapped))

    def _missing(self, trapped: Mapping[str, Collection[int]]) -> Iterator[str]:
        """Places left empty by something told already: no such column, or merged cells."""
        for pointer in (f"/{key}" for key in MUST):
            rows = trapped.get(pointer, ()) if pointer in self.by_pointer else self.lines
            for index, line in enumerate(self.lines):
                if line in rows:
                    yield f"/checks/{index}/fan" if pointer == "/fan" else pointer

    def place(self, said: Complaint) -> LineComplaint:
        """The complaint at its rows, under its heading, with the cell as typed."""
        lines, cells, rest = self.lines, self.cells[0], said.pointer
        match = re.fullmatch(r"/checks/(\d+)(/.*)?", said.pointer)
        if match:
            at, rest = int(match[1]), match[2] or "/fan"
            lines, cells = [self.lines[at]], self.cells[at]
        # A complaint deeper than a cell (a unit within a reading) belongs to its cell.
        heading = next((self.by_pointer[p] for p in _upwards(rest) if p in self.by_pointer), None)
        if heading is None:
            return LineComplaint(lines[0], said, others=tuple(lines[1:]))
        told = _in_words(said, heading, cells.get(heading, ""))
        return LineComplaint(lines[0], told, heading.text, tuple(lines[1:]))


def _in_words(said: Complaint, heading: Heading, cell: str) -> Complaint:
    """The heading stands for the key's name, words for codes, the cell for the value."""
    if not cell and said.problem == f"{heading.key} is missing":
        return Complaint("", "the cell is blank", "", "fill it in")
    problem = re.sub(rf"^{re.escape(heading.key)}\b", "this", said.problem)
    coded = problem.endswith("is not known")
    remedy = (
        _CODE.sub(lambda code: code[0].replace("_", " "), said.remedy) if coded else said.remedy
    )
    return replace(said, pointer="", problem=problem, seen=shortened(cell), remedy=remedy)


def _upwards(pointer: str) -> Iterator[str]:
    while pointer:
        yield pointer
        pointer = pointer.rpartition("/")[0]
