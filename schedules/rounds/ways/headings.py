"""Columns of a file of travel times: from, to, how long and how far, each in its unit."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from fleet.imports.complaints import Complaints
from fleet.imports.table import Row, column_letters

START, END, MINUTES, METRES = "start", "end", "minutes", "metres"
WITHIN_ROWS = 15
MILE_M = 1609.344
UNITS: Mapping[str, tuple[str, float]] = {
    "min": (MINUTES, 1), "mins": (MINUTES, 1), "minute": (MINUTES, 1), "minutes": (MINUTES, 1),
    "s": (MINUTES, 1 / 60), "sec": (MINUTES, 1 / 60), "seconds": (MINUTES, 1 / 60),
    "h": (MINUTES, 60), "hours": (MINUTES, 60),
    "m": (METRES, 1), "metres": (METRES, 1), "meters": (METRES, 1),
    "km": (METRES, 1000), "kilometres": (METRES, 1000), "kilometers": (METRES, 1000),
    "mi": (METRES, MILE_M), "mile": (METRES, MILE_M), "miles": (METRES, MILE_M),
}  # fmt: skip
"""What a heading may say, alone or in brackets, and how many minutes or metres one is."""
ENDS = {
    "from": START, "origin": START, "start": START, "from site": START,
    "to": END, "destination": END, "end": END, "to site": END,
}  # fmt: skip
_IN_BRACKETS = re.compile(r"[(\[]([^)\]]*)[)\]]\s*$")


@dataclass(frozen=True)
class Header:
    """Where each column stands, and what one of its unit is; ``rows`` are those below."""

    at: Mapping[str, int]
    factors: Mapping[str, float]
    rows: Sequence[Row]


def find_header(rows: Sequence[Row], complaints: Complaints) -> Header | None:
    """The fullest row of headings near the top; None where a column is missing, told so."""
    top = list(enumerate(rows[:WITHIN_ROWS]))
    if not top:
        complaints.add("empty")
        return None
    at, (number, cells) = max(top, key=lambda each: (len(_known(each[1][1])), -each[0]))
    known = _known(cells)
    for position, (part, _factor) in known.items():
        first = next(each for each in known if known[each][0] == part)
        if first != position:
            _add(
                complaints, number, column_letters(position), cells[position],
                _("this column and {other} mean the same").format(other=column_letters(first)),
                _("delete one of them"),
            )  # fmt: skip
    places = {part: position for position, (part, _factor) in reversed(known.items())}
    for part, told in ((START, "From"), (END, "To"), (MINUTES, "Minutes")):
        if part not in places:
            _add(complaints, number, told, "", _("the column is missing"),
                 _("add it, or rename the one that holds it"))  # fmt: skip
    if complaints:
        return None
    return Header(places, dict(known.values()), rows[at + 1 :])


def _known(cells: Sequence[str]) -> dict[int, tuple[str, float]]:
    found = ((position, _part(text)) for position, text in enumerate(cells))
    return {position: part for position, part in found if part}


def _part(text: str) -> tuple[str, float] | None:
    words = " ".join(text.replace("_", " ").casefold().split())
    if words in ENDS:
        return ENDS[words], 1.0
    bracketed = _IN_BRACKETS.search(words)
    return UNITS.get(bracketed[1].strip() if bracketed else words)


def _add(
    complaints: Complaints, row: int, column: str, seen: str, problem: str, remedy: str
) -> None:
    complaints.add("told", row, column, seen, problem=problem, remedy=remedy)
