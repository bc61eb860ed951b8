"""Headings of a table of readings: which part of a record each column fills."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from fleet.imports.complaints import shortened
from fleet.imports.headings import match_heading as fleet_heading
from fleet.imports.table import Row
from fleet.quantities import CONTEXT
from fleet.units import UnitError, to_canonical
from visits.imports.report import LineComplaint
from visits.payload import Complaint
from visits.payload.names import GREASE, READINGS, SEEN_ITEMS, short_name
from visits.payload.readings import DETECTOR, split_detector

_VISIT = {
    "owner": "owner", "customer": "owner", "client": "owner",
    "site": "site", "location": "site", "kitchen": "site", "store": "site",
    "visit_date": "began_at", "date": "began_at", "began_at": "began_at", "visit": "began_at",
    "visit_kind": "kind", "kind": "kind", "visit_type": "kind",
    "technician": "technician", "tech": "technician", "by": "technician",
}  # fmt: skip
_CHECK = {
    "fan": "fan", "tag": "fan", "fan_tag": "fan", "unit": "fan", "unit_number": "fan",
    "stage": "stage", "switch_left": "switch_left",
    "notes": "notes", "note": "notes", "remarks": "notes", "comments": "notes",
}  # fmt: skip
MUST = ("owner", "site", "began_at", "fan")
HEADER_WITHIN_ROWS = 15
LISTS_FANS = 3
"""So many headings of a fleet file, without a date of visits, make a list of fans; our choice."""
_IN_BRACKETS = re.compile(r"[(\[]([^)\]]*)[)\]]\s*$")
_CONTEXT = {field.name: field.name for field in CONTEXT} | {"detector": "vibration_detector"}


@dataclass(frozen=True, slots=True)
class Heading:
    """A column: its text in the file, the part of a record it fills, and the unit it names."""

    position: int
    text: str
    part: str
    key: str
    unit: str = ""

    @property
    def pointer(self) -> str:
        """Where its values lie within a check, or within the visit."""
        return f"/{self.key}" if self.part in ("visit", "check") else f"/{self.part}/{self.key}"


def find_headings(
    rows: Sequence[Row], complaints: list[LineComplaint]
) -> tuple[int, list[Heading], Sequence[Row]]:
    """The fullest row of headings near the top: its line, its columns and the rows below it."""
    top = rows[:HEADER_WITHIN_ROWS]
    known = [sum(match_heading(0, text) is not None for text in cells) for _, cells in top]
    at = known.index(max(known))
    line, cells = rows[at]
    if _lists_fans(cells):
        problem = "this looks like a list of fans: columns of a nameplate, and no visit date"
        remedy = "bring it in as fans (import_fleet), or add a column headed visit date"
        complaints.append(LineComplaint(line, Complaint("", problem, "", remedy)))
        return line, [], []
    return line, read_headings(line, cells, complaints), rows[at + 1 :]


def _lists_fans(cells: Sequence[str]) -> bool:
    """Whether a row has the headings of a fleet file that no table of readings has, and no date."""
    headings = [match_heading(0, text) for text in cells]
    if any(heading is not None and heading.key == "began_at" for heading in headings):
        return False
    others = (text for text, known in zip(cells, headings, strict=True) if known is None)
    return sum(map(_of_fans, others)) >= LISTS_FANS


def _of_fans(text: str) -> bool:
    return bool(text.strip()) and fleet_heading(text) is not None


def read_headings(
    line: int, cells: Sequence[str], complaints: list[LineComplaint]
) -> list[Heading]:
    """The columns of a table, with a complaint for each that is unknown, double or missing."""
    found: dict[tuple[str, str], Heading] = {}
    for position, text in enumerate(cells):
        if not text.strip():
            continue
        heading = match_heading(position, " ".join(text.split()))
        if heading is None:
            _refuse(complaints, line, text, "this heading is not known", _heading_remedy(text))
        elif (heading.part, heading.key) in found:
            other = found[heading.part, heading.key].text
            _refuse(complaints, line, text, f"the same as column {other}", "keep one of them")
        else:
            found[heading.part, heading.key] = heading
            if problem := _unit_problem(heading):
                units = ", ".join(READINGS[_quantity(heading.key)].accepted)
                _refuse(complaints, line, text, problem, f"write one of {units} in the heading")
    for key in MUST:
        if not any(heading.key == key for heading in found.values()):
            name = "visit date" if key == "began_at" else key
            _refuse(complaints, line, "", f"no column {name}", f"add a column headed {name}")
    return [heading for heading in found.values() if not _unit_problem(heading)]


def _unit_problem(heading: Heading) -> str:
    """What is wrong with the unit a heading names: nothing, if readings can be in it."""
    if not heading.unit:
        return ""
    quantity, unit = READINGS[_quantity(heading.key)], heading.unit
    if DETECTOR in quantity.context:
        unit, _ = split_detector(unit)
    try:
        to_canonical(1, unit, quantity.unit, quantity.accepted)
    except UnitError:
        return f"the unit {heading.unit} does not fit this reading"
    return ""


def _quantity(key: str) -> str:
    return f"{key}_high_um" if key in GREASE else key


def _heading_remedy(text: str) -> str:
    near = get_close_matches(_code(text), sorted(_known()), n=1, cutoff=0.7)
    meant = f"did you mean {near[0].replace('_', ' ')}? " if near else ""
    return f"{meant}rename the column as documented for a table of readings, or remove it"


def match_heading(position: int, text: str) -> Heading | None:
    """The column a heading names, or None."""
    code = _code(text)
    bracketed = _IN_BRACKETS.search(text)
    bare = _code(text[: bracketed.start()]) if bracketed else code
    unit = bracketed[1].strip() if bracketed else ""
    for name in (code, bare):
        for part, names in (("visit", _VISIT), ("check", _CHECK)):
            if name in names:
                return Heading(position, text, part, names[name])
        if name in SEEN_ITEMS:
            return Heading(position, text, "seen", name)
        if name in _CONTEXT:
            return Heading(position, text, "context", _CONTEXT[name])
    if bare in READINGS:
        return Heading(position, text, "readings", READINGS[bare].name, unit)
    if bare in GREASE:
        return Heading(position, text, "readings", bare, unit)
    return Heading(position, text, "readings", READINGS[code].name) if code in READINGS else None


def _known() -> set[str]:
    readings = {short_name(quantity) for quantity in READINGS.values()}
    return {*_VISIT, *_CHECK, *SEEN_ITEMS, *_CONTEXT, *readings, *GREASE}


def _code(text: str) -> str:
    return "_".join(re.findall(r"[a-z0-9]+", text.casefold()))


def _refuse(
    complaints: list[LineComplaint], line: int, seen: str, problem: str, remedy: str
) -> None:
    said = Complaint("", problem, shortened(seen), remedy)
    complaints.append(LineComplaint(line, said, " ".join(seen.split())))
