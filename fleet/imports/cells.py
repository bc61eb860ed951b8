"""One cell becomes one value: what a column's kind accepts, and what it says of the rest."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import validate_email

from config.characters import code_point, hidden_in
from fleet.imports.column import Column
from fleet.imports.complaints import CellError
from fleet.imports.days import MADE_A_DATE, Order, read_day, read_days
from fleet.imports.numbers import read_number, read_whole
from fleet.imports.places import read_country, read_zone
from fleet.opening import OpeningError, parse_opening
from fleet.ratings import UNREADABLE, PlateError, Unreadable, parse_ratings

NOT_RECORDED = frozenset({"", "-", "--", "—", "n/a", "na", "n.a.", "tbd", "unknown"})
UNREADABLE_WORDS = frozenset({"?", "??", "???", "unreadable", "illegible", "not readable"})
ERROR_CELL = re.compile(r"#(N/A|REF!|VALUE!|DIV/0!|NAME\?|NUM!|NULL!|SPILL!|CALC!)", re.IGNORECASE)
_DECIMAL_COMMA = re.compile(r"(?<=\d),(?=\d{1,2}(?![\d,.]))")
_YES = frozenset({"yes", "y", "true", "1", "x", "✓", "on", "si", "sí"})
_NO = frozenset({"no", "n", "false", "0", "off"})
_AS_DUE = frozenset({"as due", "asdue", "when due", "as needed"})
_ONE_PHASE = ("1", "1.0", "one", "single")
_PHASES = re.compile(r"(1|1\.0|one|single|3|3\.0|three|poly)(?:ph(?:ases?)?|p|ø|φ)?\.?")
_A_YEAR = {
    "monthly": 12, "quarterly": 4, "semi annual": 2, "semi annually": 2, "semiannual": 2,
    "semiannually": 2, "twice a year": 2, "annual": 1, "annually": 1, "yearly": 1,
    "once a year": 1,
}  # fmt: skip
_KEEPS_LINES = ("note",)
_MAY_HOLD_DATES = ("date", "days", "note")
MOST_KEPT = 2_000
"""Distinct texts of a column kept read; one with more seldom repeats itself."""

Value = Any


class Reader:
    """Reads the cells of one column; ``unit`` is the heading's, ``order`` that of its dates.

    A column repeats itself down a file, so each distinct text is read once.
    """

    def __init__(self, column: Column, unit: str = "", order: Order = "") -> None:
        self.column, self.unit, self.order = column, unit, order
        self._kept: dict[str, Value | CellError] = {}

    def read(self, text: str) -> Value:
        """The value, ``UNREADABLE``, or None where nothing is recorded; raises CellError."""
        try:
            value = self._kept[text]
        except KeyError:
            if len(self._kept) >= MOST_KEPT:
                self._kept.clear()
            value = self._kept[text] = self._first(text)
        if isinstance(value, CellError):
            # a new one: the one kept would gather every traceback, and the rows in them
            raise CellError(value.code, **value.told)
        return value

    def _first(self, text: str) -> Value | CellError:
        try:
            return self._parse(clean_text(text, keep_lines=self.column.kind in _KEEPS_LINES))
        except CellError as error:
            return CellError(error.code, **error.told)

    def _parse(self, text: str) -> Value:
        word = text.casefold()
        if word in NOT_RECORDED:
            return None
        if word in UNREADABLE_WORDS:
            return self._unreadable()
        if ERROR_CELL.fullmatch(text):
            raise CellError("error_cell")
        if self.column.kind not in _MAY_HOLD_DATES and MADE_A_DATE.fullmatch(text):
            raise CellError("made_a_date")
        return _READERS[self.column.kind](text, self)

    def _unreadable(self) -> Unreadable:
        if not self.column.may_be_unreadable:
            raise CellError("not_a_plate_part")
        return UNREADABLE


def clean_text(text: str, *, keep_lines: bool = False) -> str:
    """Composed, trimmed, runs of spaces drawn together; raises CellError for hidden characters."""
    composed = unicodedata.normalize("NFC", text).replace("\r\n", "\n").replace("\t", " ")
    if not keep_lines:
        composed = composed.replace("\n", " ")
    if sign := hidden_in(composed, name=not keep_lines):
        raise CellError("hidden_character", character=code_point(sign))
    lines = (" ".join(line.split()) for line in composed.split("\n"))
    return "\n".join(lines).strip()


def _text(text: str, reader: Reader) -> str:
    if len(text) > reader.column.longest:
        code = "note_too_long" if reader.column.kind == "note" else "too_long"
        raise CellError(code, length=len(text), longest=reader.column.longest)
    return text


def _email(text: str, reader: Reader) -> str:
    address = _text(text.removeprefix("mailto:"), reader)
    try:
        validate_email(address)
    except ValidationError:
        raise CellError("not_an_email") from None
    return address


def _yes_no(text: str, reader: Reader) -> bool:
    word = text.casefold()
    if word in _YES:
        return True
    if word in _NO:
        return False
    raise CellError("not_yes_no")


def _choice(text: str, reader: Reader) -> str:
    choices = reader.column.choices
    word = _word(text)
    if word in choices:
        return choices[word]
    if word in reader.column.codes:
        return word
    if reader.column.field == "motor_type" and word in ("single phase", "1 phase", "1ph", "1"):
        raise CellError("single_phase")
    raise CellError("not_a_choice", choices=_listed(reader.column))


def _classes(text: str, reader: Reader) -> list[str]:
    pieces = [piece for piece in re.split(r"\s*[;,/+&\n]\s*", text) if piece]
    if any(_word(piece) not in reader.column.choices for piece in pieces):
        raise CellError("not_a_class", choices=_listed(reader.column))
    found = {reader.column.choices[_word(piece)] for piece in pieces}
    return [code for code in reader.column.codes if code in found]


def _word(text: str) -> str:
    return re.sub(r"[\s_-]+", " ", text.casefold()).strip(" .")


def _listed(column: Column) -> str:
    return ", ".join(code.replace("_", " ") for code in column.codes)


def _visits(text: str, reader: Reader) -> int | str:
    word = _word(text)
    if word in _AS_DUE:
        return "as due"
    if word in _A_YEAR:
        return _A_YEAR[word]
    if not re.search(r"\d|nan|inf", word):
        raise CellError("not_visits")
    return read_whole(text, reader.column)


def _number(text: str, reader: Reader) -> float | str:
    if reader.column.field == "overload_setting_a" and text.casefold() in ("none", "no overload"):
        return "none"
    return read_number(text, reader.column, reader.unit)


def _rating(text: str, reader: Reader) -> str:
    printed = re.sub(r"(?i)\s*(volts?|vac|v|amperes?|amps?|a)\.?$", "", _text(text, reader)).strip()
    printed = _DECIMAL_COMMA.sub(".", printed)
    try:
        if reader.column.unit == "V":
            parse_ratings(printed)
        else:
            parse_ratings("", printed)
    except PlateError as error:
        raise CellError.from_text(error) from None
    return re.sub(r"\s*([-/])\s*", r"\1", printed.replace("–", "-"))


def _phases(text: str, reader: Reader) -> int:
    found = _PHASES.fullmatch(_word(text).replace(" ", ""))
    if not found:
        raise CellError("not_phases")
    return 1 if found[1] in _ONE_PHASE else 3


def _hours(text: str, reader: Reader) -> Any:
    try:
        return parse_opening(text)
    except OpeningError as error:
        raise CellError.from_text(error) from None


_READERS: dict[str, Callable[[str, Reader], Value]] = {
    "name": _text,
    "text": _text,
    "note": _text,
    "email": _email,
    "country": lambda text, reader: read_country(text),
    "zone": lambda text, reader: read_zone(text),
    "date": lambda text, reader: read_day(text, reader.order),
    "days": lambda text, reader: read_days(text, reader.order),
    "yes_no": _yes_no,
    "choice": _choice,
    "classes": _classes,
    "visits": _visits,
    "whole": lambda text, reader: read_whole(text, reader.column),
    "number": _number,
    "coordinate": lambda text, reader: read_number(text, reader.column),
    "rating": _rating,
    "hours": _hours,
    "phases": _phases,
}
