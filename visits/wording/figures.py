"""Figures as people of the trade write them: few digits, their unit, lists with commas."""

from __future__ import annotations

from collections.abc import Iterable
from math import floor, log10
from typing import Any

from django.utils.translation import gettext as _

UNIT_SIGNS = {
    "ohm": "Ω", "mohm": "mΩ", "kohm": "kΩ", "megohm": "MΩ", "gohm": "GΩ", "uF": "µF",
    "um": "µm", "C": "°C", "F": "°F", "F_difference": "°F", "%": "%",
}  # fmt: skip


def figure(value: Any, unit: str = "") -> str:
    """A value with its unit: ``0.31 in/s``, ``5.2 %``; open for a reading without a number."""
    if value is None:
        return _("over range")
    if unit == "%" and isinstance(value, float):
        value = round(value, 2)
    number = number_text(value) if isinstance(value, (int, float)) else str(value)
    return f"{number} {UNIT_SIGNS.get(unit, unit)}".rstrip()


def two_digits(value: float) -> float:
    """An estimate as far as anybody should read it: its first two digits."""
    return float(f"{value:.2g}")


def number_text(value: float) -> str:
    """At most four significant digits, at least all whole ones, no zeros to fill up."""
    if value == 0 or not -1e15 < value < 1e15:
        return f"{value:g}"
    decimals = max(0, 3 - floor(log10(abs(value))))
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def figures(values: Iterable[Any], unit: str = "") -> str:
    """Several values of one unit: ``202, 200, 200 V``."""
    listed = [_("over range") if value is None else number_text(value) for value in values]
    return f"{', '.join(listed)} {UNIT_SIGNS.get(unit, unit)}".rstrip()


def reading_text(typed: dict[str, Any]) -> str:
    """One entry of a check's ``typed``, as it was typed."""
    qualifier, value = typed.get("qualifier", ""), typed.get("value")
    text = figure(value, typed.get("unit", "")) if value is not None else ""
    match qualifier:
        case "over":
            return f"{_('over range')} {f'({text})' if text else ''}".strip()
        case "unstable":
            return _("{reading}, unstable").format(reading=text)
        case _sign:
            return f"{_sign} {text}".strip()
