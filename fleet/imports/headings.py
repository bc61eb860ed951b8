"""Which column is which: headings matched without regard to case, signs, spaces and synonyms."""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from fleet.imports.column import Column
from fleet.imports.columns import COLUMNS
from fleet.imports.complaints import Complaints
from fleet.imports.numbers import fitting_unit
from fleet.imports.table import Row, Table, column_letters
from fleet.units import UnitError

HEADER_WITHIN_ROWS = 15
NEAR_MATCH = 0.84
"""How alike (difflib's ratio) an unknown heading must be to one of ours to look like a slip."""
_SHORT = {
    "no": "number", "num": "number", "nbr": "number", "hrs": "hours", "addr": "address",
    "loc": "location", "dia": "diameter", "mod": "model", "mins": "minutes",
}  # fmt: skip
_LONE_LETTERS = re.compile(r"\b[a-z](?: [a-z])+\b")
_IN_BRACKETS = re.compile(r"[(\[]([^)\]]*)[)\]]\s*$")


@dataclass(frozen=True, slots=True)
class Heading:
    """A column found in a file: where it stands, what it is and the unit its heading names.

    ``misfit`` is a unit in the heading that this column cannot have.
    """

    position: int
    text: str
    column: Column
    unit: str = ""
    misfit: str = ""


@dataclass(frozen=True, slots=True)
class Header:
    """The heading row of a file; ``rows`` are the data rows below it."""

    row: int
    width: int
    headings: tuple[Heading, ...]
    rows: Sequence[Row]


def find_header(table: Table, complaints: Complaints) -> Header | None:
    """The fullest row of headings near the top; complains of doubles, slips and what is missing."""
    candidates = [(len(_matches(cells)), -at) for at, (_, cells) in enumerate(_top(table))]
    most, at = max(candidates, default=(0, 0))
    if most < 2:
        complaints.add("no_headings", table.rows[0][0] if table.rows else 0)
        return None
    number, cells = table.rows[-at]
    headings = _without_doubles(_matches(cells), number, complaints)
    _complain_of_unknown(cells, headings, number, complaints)
    found = {heading.column.key for heading in headings}
    for heading in (heading for heading in headings if heading.misfit):
        letters, units = column_letters(heading.position), " or ".join(heading.column.units)
        complaints.add("heading_unit", number, letters, heading.text, units=units)
    for column in COLUMNS:
        if column.required and column.key not in found:
            complaints.add("heading_missing", number, column.heading)
    return Header(number, len(cells), headings, table.rows[1 - at :])


def _top(table: Table) -> list[Row]:
    return table.rows[:HEADER_WITHIN_ROWS]


def _matches(cells: Sequence[str]) -> list[Heading]:
    found = []
    for position, text in enumerate(cells):
        match = match_heading(text)
        if match:
            found.append(Heading(position, " ".join(text.split()), *match))
    return found


def match_heading(text: str) -> tuple[Column, str, str] | None:
    """The column a heading names, the unit it gives and one that does not fit; None if unknown."""
    words = _words(text)
    if not words:
        return None
    known = _known().get(words)
    bracketed = _IN_BRACKETS.search(text)
    if bracketed and not known:
        known = _known().get(_words(text[: bracketed.start()]))
    if not known:
        return _by_last_word(words)
    column, implied = known
    unit, misfit = _unit_of(column, bracketed[1] if bracketed else "")
    return column, unit or implied, misfit


def _by_last_word(words: str) -> tuple[Column, str, str] | None:
    """``bore mm`` and ``breaker a``: the last word is a unit of the column before it."""
    before, _, last = words.rpartition(" ")
    known = _known().get(before)
    # "kitchen hours" is no site in hours: only a column of numbers has units
    if not known or not known[0].units:
        return None
    unit, misfit = _unit_of(known[0], last)
    return (known[0], unit, misfit) if unit or misfit else None


def _unit_of(column: Column, text: str) -> tuple[str, str]:
    """The unit in our code, or else the misfit; two empty texts where it is no unit."""
    written = text.strip().rstrip(".")
    try:
        unit = fitting_unit(column, written)
    except UnitError:
        return "", ""
    return unit, "" if unit else written


@cache
def _known() -> dict[str, tuple[Column, str]]:
    known: dict[str, tuple[Column, str]] = {}
    for column in COLUMNS:
        bare = _IN_BRACKETS.sub("", column.heading)
        known[_words(bare)] = (column, "")
        known[_words(column.heading)] = (column, column.unit if bare != column.heading else "")
        for name in (column.field, f"{column.part} {column.field}"):
            known.setdefault(_words(name), (column, column.unit))
        for synonym in column.synonyms:
            name, _, unit = synonym.partition("=")
            known[_words(name)] = (column, unit)
    return known


def _words(text: str) -> str:
    """Lower-case words without accents and signs, the usual short ones written out."""
    plain = unicodedata.normalize("NFKD", text.replace("#", " no ").replace("&", " and "))
    plain = "".join(char for char in plain if not unicodedata.combining(char)).casefold()
    plain = re.sub(r"\be[ -]mail", "email", plain)
    plain = " ".join(_SHORT.get(word, word) for word in re.findall(r"[a-z0-9µ%]+", plain))
    # "S.F." and "F L A" are the "sf" and "fla" of others
    return _LONE_LETTERS.sub(lambda letters: letters[0].replace(" ", ""), plain)


def _without_doubles(
    headings: list[Heading], row: int, complaints: Complaints
) -> tuple[Heading, ...]:
    kept: dict[tuple[str, str], Heading] = {}
    for heading in headings:
        earlier = kept.setdefault(heading.column.key, heading)
        if earlier is not heading:
            complaints.add(
                "heading_twice", row, column_letters(heading.position), heading.text,
                other=earlier.text, other_column=column_letters(earlier.position),
            )  # fmt: skip
    return tuple(kept.values())


def _complain_of_unknown(
    cells: Sequence[str], headings: tuple[Heading, ...], row: int, complaints: Complaints
) -> None:
    found = {heading.column.key for heading in headings}
    for position, text in _unknown(cells):
        letters = column_letters(position)
        near = difflib.get_close_matches(_words(text), _known(), n=1, cutoff=NEAR_MATCH)
        if near and _known()[near[0]][0].key not in found:
            heading = _known()[near[0]][0].heading
            complaints.add("heading_slip", row, letters, text, heading=heading)
        else:
            complaints.note("heading_unknown", row, letters, text)


def _unknown(cells: Sequence[str]) -> Iterator[tuple[int, str]]:
    for position, text in enumerate(cells):
        if text.strip() and match_heading(text) is None:
            yield position, " ".join(text.split())
