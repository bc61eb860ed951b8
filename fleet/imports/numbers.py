"""Numbers with units as people type them: ``5 hp``, ``3.7 kW``, ``1-1/2``, ``1,725``, ``0,75``."""

from __future__ import annotations

import re
from math import isfinite

from fleet.imports.column import Column
from fleet.imports.complaints import CellError
from fleet.units import UnitError, convert, unit_code

FINEST_FRACTION = 64
"""Nobody measures finer than 64ths: ``1725/1425`` are two speeds.  Nor does anybody write one and
more as a fraction: a breaker ``20/3`` has 3 poles, a capacitor ``35/5`` two halves."""
_FRACTION = re.compile(r"(?:(\d+)(?:\s+|\s*-\s*))?(\d+)\s*/\s*(\d+)")
_PLAIN = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
_SPLIT = re.compile(r"(?P<number>[+-]?[\d.,/ \-]*\d\.?(?:[eE][+-]?\d+)?)\s*(?P<unit>[^\d\s].*)?")
_THOUSANDS = re.compile(r"[+-]?\d{1,3}(?:,\d{3})+(?:\.\d+)?")
_DECIMAL_COMMA = re.compile(r"[+-]?\d+,\d+")
_VULGAR = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅓": " 1/3", "⅔": " 2/3", "⅛": " 1/8"}
_RISE = {"C": "K", "F": "F_difference"}
_NO_NUMBER = re.compile(r"[+-]?(nan|inf|infinity|#.*)", re.IGNORECASE)


def read_number(text: str, column: Column, heading_unit: str = "") -> float:
    """The number in ``column.unit``; the cell's own unit counts before the heading's.

    A bare part of one below the bounds of a percentage is how spreadsheets keep a percent sign.
    Raises CellError: no number, NaN or infinite, a unit that does not fit or is missing where a
    bare number could be either, or a value outside what is plausible.
    """
    number_text, written_unit = _split(text)
    unit = _unit(written_unit, column) or heading_unit
    if column.must_say_unit and not unit:
        raise CellError("unit_missing", units=" or ".join(column.units))
    readings = [_in_unit(value, unit, column) for value in figures(number_text)]
    if column.unit == "%" and not written_unit:
        readings = [value if value >= column.low else 100 * value for value in readings]
    plausible = [value for value in readings if column.low <= value <= column.high]
    if len(plausible) > 1:
        raise CellError("comma_unclear", low=f"{readings[1]:g}", high=f"{readings[0]:g}")
    if not plausible:
        told = f"{column.low:g} to {column.high:g} {column.unit}".strip()
        raise CellError("out_of_range", value=_shown(readings[0], column.unit), bounds=told)
    return plausible[0]


def read_whole(text: str, column: Column) -> int:
    """A whole number between the column's bounds; ``15.0`` is one, ``15.5`` is not."""
    number = read_number(text, column)
    if number != int(number):
        raise CellError("not_whole")
    return int(number)


def _split(text: str) -> tuple[str, str]:
    for sign, words in _VULGAR.items():
        text = text.replace(sign, words)
    text = text.strip().lstrip("$€£").strip().replace("−", "-")
    if _NO_NUMBER.fullmatch(text):
        raise CellError("not_finite")
    found = _SPLIT.fullmatch(text)
    if not found:
        raise CellError("not_a_number")
    return found["number"].strip(), (found["unit"] or "").strip().rstrip(".")


def fitting_unit(column: Column, written: str) -> str:
    """The code of a unit as written, or nothing where it does not fit this column.

    Raises UnitError for what is no unit at all.
    """
    if written in column.units:
        return written
    if column.unit == "%":
        return "%" if written == "percent" else ""
    code = unit_code(written)
    # a rise of 80 C is 80 K: plates print the degree sign for both
    code = _RISE.get(code, code) if column.unit == "K" else code
    return code if code in column.units else ""


def _unit(written: str, column: Column) -> str:
    if not written:
        return ""
    if not column.units:
        raise CellError("not_a_number")
    try:
        unit = fitting_unit(column, written)
    except UnitError:
        raise CellError("unit_unknown", unit=written, units=" or ".join(column.units)) from None
    if not unit:
        raise CellError("unit_misfit", unit=written, units=" or ".join(column.units))
    return unit


def figures(number: str) -> list[float]:
    """One reading of the text, or two where a comma may part thousands or decimals.

    Raises CellError for what is no finite number.
    """
    fraction = _FRACTION.fullmatch(number)
    if fraction:
        whole, over, under = (int(part or 0) for part in fraction.groups())
        if under > FINEST_FRACTION or over >= under > 1:
            raise CellError("two_numbers")
        try:
            return [whole + over / under]
        except (ZeroDivisionError, OverflowError):
            raise CellError("not_finite") from None
    if _THOUSANDS.fullmatch(number):
        grouped = float(number.replace(",", ""))
        # 0,746 has no thousands, 1,725,000 no decimals
        if number.lstrip("+-").startswith("0"):
            return [float(number.replace(",", "."))]
        unclear = number.count(",") == 1 and "." not in number
        return [grouped, float(number.replace(",", "."))] if unclear else [grouped]
    if _DECIMAL_COMMA.fullmatch(number):
        return [float(number.replace(",", "."))]
    if not _PLAIN.fullmatch(number):
        raise CellError("not_a_number")
    value = float(number)
    if not isfinite(value):
        raise CellError("not_finite")
    return [value]


def _in_unit(value: float, unit: str, column: Column) -> float:
    if not unit or unit == column.unit:
        return value
    return convert(value, unit, column.unit)


def _shown(value: float, unit: str) -> str:
    return f"{value:.6g} {unit}".strip()
