"""Readings as written: numbers with units and qualifiers, turned into the registry's columns."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from django.utils.translation import gettext as _

from fleet.imports.complaints import CellError
from fleet.imports.days import MADE_A_DATE
from fleet.imports.numbers import figures
from fleet.quantities import CONTEXT, Quantity
from fleet.units import UnitError, grease_depth_um, to_canonical, unit_code
from visits.payload.fields import Fields, as_number, escaped
from visits.payload.names import GREASE, READINGS, SEEN_ITEMS, short_name

Columns = dict[str, float | str | None]
Typed = dict[str, dict[str, Any]]

_WRITTEN = re.compile(
    r"(?P<sign>[<>]?)\s*(?P<number>[-+]?(?:(?:\d+[\s-]+)?\d+/\d+|\d+[.,]?\d*|\.\d+))"
    r"\s*(?P<unit>[^\s,./\d].*|)",
    re.S,
)
_SHORT_NAMES = sorted({short_name(q) for q in READINGS.values()} | set(GREASE))
_DETECTOR = re.compile(
    r"(?P<unit>.*?)[\s,(]*(?:(?P<rms>r\.?m\.?s\.?)|(?P<peak>(?:0-|(?<!-))(?:peak|pk)))\)?",
    re.I | re.S,
)
DETECTOR = "vibration_detector"
_OVER = {"ol", "o.l.", "o.l", "over", "over range", "overrange", "open"}
LONGEST = 60
_OPEN_ENDED = ("ohm", "megohm")
"""Units of meters on which *over range* without a number says something: no path was found."""


@dataclass(slots=True)
class Readings:
    """Columns in canonical units, and each measured reading as typed: value, unit, qualifier."""

    columns: Columns = field(default_factory=dict)
    typed: Typed = field(default_factory=dict)


class _Written(NamedTuple):
    value: float | None
    unit: str
    qualifier: str
    detector: str = ""


def read_readings(check: Fields) -> Readings:
    """Everything under ``readings``, ``seen`` and ``context`` of one check."""
    found = Readings()
    measured = check.named("readings")
    for name in measured.names():
        _read_named(measured, name, found)
    _read_seen(check, found)
    _read_context(check, found)
    return found


def _read_named(fields: Fields, name: str, found: Readings) -> None:
    raw = fields.raw(name)
    if raw is None:
        return
    if name in GREASE:
        _read_comb(fields, name, raw, found)
    elif name in READINGS:
        _store(fields, name, READINGS[name], raw, found)
    else:
        fields.refuse_word(escaped(name), _("this reading is not known"), name, _SHORT_NAMES)


def _read_comb(fields: Fields, name: str, raw: Any, found: Readings) -> None:
    """One figure of a grease comb is both ends of its interval."""
    ends = {"low": raw, "high": raw}
    if isinstance(raw, dict) and ("low" in raw or "high" in raw):
        comb = Fields(raw, f"{fields.pointer}/{name}", fields.complaints)
        unit = comb.text("unit")
        high = comb.raw("high", must=True)
        low = comb.raw("low")
        comb.close()
        ends = {
            end: {"value": value, "unit": unit}
            for end, value in (("low", low), ("high", high))
            if value is not None
        }
    for end, value in ends.items():
        _store(fields, name, READINGS[f"{name}_{end}_um"], value, found)
    low_um, high_um = (found.columns.get(f"{name}_{end}_um") for end in ("low", "high"))
    if isinstance(low_um, float) and isinstance(high_um, float) and low_um > high_um:
        problem = _("the comb's low end lies above its high end")
        fields.complain(name, problem, raw, _("swap the two"))


def _store(fields: Fields, key: str, quantity: Quantity, raw: Any, found: Readings) -> None:
    written = _written(fields, key, quantity, raw)
    if written is None:
        return
    if quantity.name in found.columns:
        problem = _("%(key)s is given twice") % {"key": quantity.name}
        remedy = _("give it once, by its long or its short name")
        fields.complain(escaped(key), problem, raw, remedy)
        return
    value = _canonical(fields, key, quantity, written, raw)
    if value is None:
        return
    found.columns[quantity.name] = None if written.value is None else value
    if written.detector and found.columns.setdefault(DETECTOR, written.detector) != (
        written.detector
    ):
        remedy = _("leave out the readings of the other one, or tell of them in notes")
        fields.complain(escaped(key), _("a check has one vibration detector"), raw, remedy)
    unit = unit_code(written.unit) if written.unit else quantity.unit
    typed = {"value": written.value, "unit": unit, "qualifier": written.qualifier}
    found.typed[quantity.name] = {k: v for k, v in typed.items() if v not in ("", None)}


def _written(fields: Fields, key: str, quantity: Quantity, raw: Any) -> _Written | None:
    """The parts of a reading, or None with a complaint."""
    place = escaped(key)
    if isinstance(raw, dict):
        written = _from_object(Fields(raw, f"{fields.pointer}/{place}", fields.complaints))
    else:
        written = _from_text(raw)
        if written is None:
            remedy = _("write a number, or one with its unit such as 1.5 %(unit)s")
            told = {"key": key, "unit": quantity.unit}
            fields.complain(place, _why_no_reading(raw) % told, raw, remedy % told)
    if written is None:
        return None
    if DETECTOR in quantity.context:
        written = _with_detector(written)
    if written.qualifier not in quantity.qualifiers:
        known = " ".join(q for q in quantity.qualifiers if q)
        remedy = _("it may be %(names)s") if known else _("give the number the meter showed")
        problem = _("%(key)s takes no %(sign)s") if written.qualifier else _("%(key)s is empty")
        told = {"key": key, "sign": written.qualifier, "names": known}
        fields.complain(place, problem % told, raw, remedy % told)
        return None
    if written.value is None and not (written.qualifier == "over" and quantity.unit in _OPEN_ENDED):
        remedy = _("give the number the meter showed, for over range the top of its range")
        fields.complain(place, _("%(key)s has no number") % {"key": key}, raw, remedy)
        return None
    return written


def split_detector(unit: str) -> tuple[str, str]:
    """A unit, and the detector (rms, peak) named behind it: empty where none is."""
    match = _DETECTOR.fullmatch(unit)
    return (match["unit"], "rms" if match["rms"] else "peak") if match else (unit, "")


def _with_detector(written: _Written) -> _Written:
    """The same with its detector apart from unit or qualifier, wherever it was written."""
    unit, detector = split_detector(written.unit)
    rest, other = split_detector(written.qualifier)
    return written._replace(unit=unit, qualifier=rest, detector=detector or other)


def _why_no_reading(raw: Any) -> str:
    text = raw.strip() if isinstance(raw, str) else ""
    if MADE_A_DATE.fullmatch(text):
        return _("%(key)s is a date, which spreadsheets make of texts such as 1/2")
    if re.search(r"\d,\d", text):
        return _("%(key)s has a comma that could part thousands or decimals")
    return _("%(key)s is not a reading")


def _from_object(reading: Fields) -> _Written | None:
    before = len(reading.complaints)
    value = reading.number("value", -1e12, 1e12)
    unit = reading.text("unit", longest=20)
    qualifier = reading.text("qualifier", longest=12)
    reading.close()
    return _Written(value, unit, qualifier) if len(reading.complaints) == before else None


def _from_text(raw: Any) -> _Written | None:
    if not isinstance(raw, str):
        number = as_number(raw)
        return None if number is None else _Written(number, "", "")
    text = raw.strip()
    if len(text) > LONGEST:
        return None
    unstable = text.casefold().endswith("unstable")
    text = text[: -len("unstable")].rstrip() if unstable else text
    if text.casefold() in _OVER:
        return _Written(None, "", "over")
    match = None if MADE_A_DATE.fullmatch(text) else _WRITTEN.fullmatch(text)
    value = _figure(match["number"]) if match else None
    if match is None or value is None:
        return None
    return _Written(value, match["unit"], "unstable" if unstable else match["sign"])


def _figure(text: str) -> float | None:
    """The number, its decimals behind a point or a comma; None where a comma may be either."""
    try:
        values = figures(text)
    except CellError:
        return None
    return values[0] if len(values) == 1 else None


def _canonical(
    fields: Fields, key: str, quantity: Quantity, written: _Written, raw: Any
) -> float | None:
    """The value in the registry's unit if it fits and is plausible, else None with a complaint.

    Of a meter over its range that showed none the unit alone is looked at.
    """
    try:
        value = _in_registry_unit(quantity)(written.value or 0.0, written.unit or quantity.unit)
    except UnitError:
        remedy = (
            _("write it in one of %(units)s; rms or peak may follow")
            if DETECTOR in quantity.context
            else _("write it in one of %(units)s")
        ) % {"units": ", ".join(quantity.accepted)}
        fields.complain(escaped(key), _why_no_unit(written), raw, remedy)
        return None
    if written.value is None:
        return value
    if not quantity.low <= value <= quantity.high:
        span = {"low": f"{quantity.low:g}", "high": f"{quantity.high:g}", "unit": quantity.unit}
        remedy = _("expected %(low)s to %(high)s %(unit)s; check value and unit") % span
        fields.complain(escaped(key), _("%(key)s cannot be right") % {"key": key}, raw, remedy)
        return None
    return value


def _why_no_unit(written: _Written) -> str:
    told = {"value": f"{written.value or 0.0:g}", "unit": written.unit}
    try:
        unit_code(written.unit)
    except UnitError:
        return _("%(unit)s is not a unit we know") % {"unit": repr(written.unit)}
    return _("%(value)s %(unit)s does not fit") % told


def _in_registry_unit(quantity: Quantity) -> Callable[[float, str], float]:
    def convert(value: float, unit: str) -> float:
        checked = to_canonical(value, unit, quantity.unit, quantity.accepted)
        return grease_depth_um(value, unit) if quantity.rule == "grease" else checked

    return convert


def _read_seen(check: Fields, found: Readings) -> None:
    seen = check.named("seen")
    for name in seen.names():
        item = SEEN_ITEMS.get(name)
        if item is None:
            seen.raw(name)
            seen.refuse_word(escaped(name), _("this seen item is not known"), name, SEEN_ITEMS)
            continue
        state = seen.choice(name, item.state_codes)
        if state:
            found.columns[name] = state


def _read_context(check: Fields, found: Readings) -> None:
    context = check.named("context")
    for entry in CONTEXT:
        value = (
            context.choice(entry.name, entry.choices)
            if entry.choices
            else context.number(entry.name, entry.low, entry.high)
        )
        if value not in ("", None) and found.columns.setdefault(entry.name, value) != value:
            told = found.columns[entry.name]
            problem = _("the readings say %(value)s") % {"value": told}
            remedy = _("say the same in both, or leave it out")
            context.complain(entry.name, problem, value, remedy)
    context.close()
