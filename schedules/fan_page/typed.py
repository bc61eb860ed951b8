"""Readings of a check as they were typed, those that belong together beside each other."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from fleet.quantities import MEASURED, QUANTITIES
from visits.models import Check
from visits.wording import figure, figures, number_text, reading_text

BY_ITSELF = ("vibration", "seen", "")
"""Rules that take each reading by itself."""


def read_with(name: str) -> list[str]:
    """What is taken together with a quantity, the leading one first: legs, lines, poles."""
    rule = QUANTITIES[name].rule
    if rule in BY_ITSELF:
        return [name]
    if rule == "grease":
        place = name.removesuffix("_low_um").removesuffix("_high_um")
        return [f"{place}_low_um", f"{place}_high_um"]
    return [each.name for each in MEASURED if each.rule == rule]


def reading_of(check: Check, name: str) -> str:
    """A reading with those taken together with it: ``202, 200, 200 V``, ``800–900 µm``."""
    names = [each for each in read_with(name) if is_read(check, each)]
    if QUANTITIES[name].rule == "grease":
        return _interval(check, names)
    return _beside_each_other([_parts(check, each) for each in names])


def typed_text(check: Check, name: str) -> str:
    """One reading as typed; where nothing was kept of that, in its own unit."""
    return reading_text(_parts(check, name))


def is_read(check: Check, name: str) -> bool:
    """Whether there is a reading, be it over range."""
    return name in check.typed or getattr(check, name) is not None


def _parts(check: Check, name: str) -> dict[str, Any]:
    as_stored = {"value": getattr(check, name), "unit": QUANTITIES[name].unit}
    return check.typed.get(name) or as_stored


def _interval(check: Check, names: Iterable[str]) -> str:
    """Both ends of a comb's interval; one figure where they are equal."""
    ends = [_parts(check, name) for name in names]
    units = {end.get("unit", "") for end in ends}
    if len(units) == 1 and not any(end.get("qualifier") for end in ends):
        numbers = dict.fromkeys(number_text(end["value"]) for end in ends)
        return figure("–".join(numbers), units.pop())
    return "–".join(dict.fromkeys(map(reading_text, ends)))


def _beside_each_other(typed: list[dict[str, Any]]) -> str:
    """Readings of a kind, their unit once where it is the same."""
    units = {part.get("unit", "") for part in typed}
    if len(units) == 1 and not any(part.get("qualifier") for part in typed):
        return figures((part["value"] for part in typed), units.pop())
    return " · ".join(map(reading_text, typed))
