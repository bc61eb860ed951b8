"""Conversion between the units people write and the one unit each quantity is kept in.

Every unit belongs to one kind of quantity (volts never become amperes) and is a factor and an
offset away from its kind's base unit.  Pure numbers in, pure numbers out.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import isfinite, sqrt
from unicodedata import normalize

MM_PER_INCH = 25.4
KW_PER_HP = 0.745699871582
"""Mechanical horsepower, 550 ft lbf/s (NIST SP 811 appendix B)."""
PEAK_PER_RMS = sqrt(2.0)
"""Of one pure sine only: an overall reading of a real machine has no fixed ratio."""
DETECTORS = ("rms", "peak")


class UnitError(ValueError):
    """A value whose unit is unknown or does not fit; the text says what is accepted."""


@dataclass(frozen=True, slots=True)
class Unit:
    """``base value = factor * value + offset`` within one ``kind`` of quantity."""

    code: str
    kind: str
    factor: float
    offset: float = 0.0


# Each row: kind, then code and factor to the kind's base, then other spellings of it.
_ROWS: tuple[tuple[str, str, float, str], ...] = (
    ("voltage", "V", 1.0, "volt volts vac"),
    ("voltage", "kV", 1e3, ""),
    ("voltage", "mV", 1e-3, ""),
    ("current", "A", 1.0, "amp amps ampere amperes"),
    ("current", "mA", 1e-3, ""),
    ("resistance", "ohm", 1.0, "ohms Ω"),
    ("resistance", "mohm", 1e-3, "mΩ milliohm milliohms"),
    ("resistance", "kohm", 1e3, "kΩ kilohm kilohms"),
    ("resistance", "megohm", 1e6, "MΩ Mohm MOhm megohms"),
    ("resistance", "gohm", 1e9, "GΩ GOhm gigohm gigohms"),
    ("capacitance", "uF", 1e-6, "μF mfd microfarad microfarads"),
    ("capacitance", "nF", 1e-9, ""),
    ("velocity", "mm/s", 1.0, "mm/sec mmps"),
    ("velocity", "in/s", MM_PER_INCH, "in/sec ips"),
    ("velocity", "m/s", 1e3, "m/sec"),
    ("velocity", "ft/min", 5.08, "fpm"),
    ("length", "mm", 1.0, "millimeter millimeters millimetre millimetres"),
    ("length", "um", 1e-3, "μm micron microns micrometer micrometers"),
    ("length", "mil", 0.0254, "mils thou"),
    ("length", "in", MM_PER_INCH, 'inch inches "'),
    ("length", "ft", 304.8, "foot feet '"),
    ("length", "m", 1e3, "meter meters metre metres"),
    ("time", "h", 1.0, "hr hrs hour hours"),
    ("time", "min", 1 / 60, "minute minutes"),
    ("time", "d", 24.0, "day days"),
    ("speed", "rpm", 1.0, "r/min rev/min"),
    ("frequency", "Hz", 1.0, "hertz cps"),
    ("power", "hp", 1.0, "horsepower bhp"),
    ("power", "kW", 1 / KW_PER_HP, "kilowatt kilowatts"),
    ("power", "W", 1e-3 / KW_PER_HP, "watt watts"),
    ("temperature difference", "K", 1.0, "kelvin C_difference"),
    ("temperature difference", "F_difference", 5 / 9, ""),
    ("mass", "kg", 1.0, "kilogram kilograms"),
    ("mass", "lb", 0.45359237, "lbs pound pounds"),
    ("mass", "g", 1e-3, "gram grams"),
    ("mass", "oz", 0.028349523125, "ounce ounces"),
    ("force", "N", 1.0, "newton newtons"),
    ("force", "lbf", 4.4482216152605, ""),
)

UNITS: dict[str, Unit] = {code: Unit(code, kind, factor) for kind, code, factor, _ in _ROWS} | {
    "C": Unit("C", "temperature", 1.0),
    "F": Unit("F", "temperature", 5 / 9, -160 / 9),
}


def _spellings() -> Iterable[tuple[str, str]]:
    for _, code, _, others in _ROWS:
        yield from ((spelling, code) for spelling in (code, *others.split()))
    for code, others in (("C", "°C degC celsius"), ("F", "°F degF fahrenheit")):
        yield from ((spelling, code) for spelling in (code, *others.split()))


_EXACT = dict(_spellings())


def _folded() -> dict[str, str]:
    """Spellings without regard to case, leaving out those where case decides (mohm and Mohm)."""
    seen: dict[str, set[str]] = {}
    for spelling, code in _EXACT.items():
        seen.setdefault(spelling.casefold(), set()).add(code)
    return {spelling: codes.pop() for spelling, codes in seen.items() if len(codes) == 1}


_ANY_CASE = _folded()


def unit_code(text: str) -> str:
    """Our code of a unit as written: ``IPS`` is ``in/s``, ``µm`` is ``um``.

    Raises UnitError for a unit nobody knows, and where only capitals tell milli from mega.
    """
    known = _EXACT.get(text)
    if known is not None:
        return known
    # Normalising makes the micro sign and the ohm sign the Greek letters they look like.
    written = normalize("NFKC", text).strip().replace(" ", "")
    code = _EXACT.get(written) or _ANY_CASE.get(written.casefold())
    if code is None:
        raise UnitError(
            f"{text!r} is not a unit we know (capitals matter); write one of "
            f"{', '.join(sorted(UNITS))}"
        )
    return code


def factor(unit: str, to: str) -> float:
    """Number by which values in ``unit`` are multiplied to be in ``to`` (no temperatures)."""
    source, target = UNITS[unit_code(unit)], UNITS[unit_code(to)]
    if source.kind != target.kind or source.kind == "temperature":
        raise UnitError(f"{unit} has no fixed ratio to {to}; use a unit of {target.kind}")
    return 1.0 if source is target else source.factor / target.factor


def convert(value: float, unit: str, to: str) -> float:
    """``value`` given in ``unit``, in ``to``; exact where both are the same unit.

    Raises UnitError naming value and unit where they do not fit, or the value is not a number.
    """
    source, target = UNITS[unit_code(unit)], UNITS[unit_code(to)]
    if not isfinite(value):
        raise UnitError(
            f"{value} {unit} is not a number; leave the reading out or mark it over range"
        )
    if source is target:
        return value
    if source.kind != target.kind:
        raise UnitError(
            f"{value:g} {unit} is a {source.kind}; here a {target.kind} is wanted, in one of "
            f"{', '.join(units_of(target.kind))}"
        )
    return (value * source.factor + source.offset - target.offset) / target.factor


def units_of(kind: str) -> list[str]:
    """Codes of every unit of one kind of quantity, in table order."""
    return [unit.code for unit in UNITS.values() if unit.kind == kind]


def to_canonical(value: float, unit: str, canonical: str, accepted: tuple[str, ...]) -> float:
    """``value`` in the ``canonical`` unit of a reading that is taken in ``accepted`` units only.

    Raises UnitError naming value, unit and what is accepted.
    """
    code = unit_code(unit) if unit else canonical
    if code != canonical and code not in accepted:
        raise UnitError(f"{value:g} {unit} does not fit; accepted here: {', '.join(accepted)}")
    return convert(value, code, canonical)


DUCT_MARK_IN, DUCT_MARK_UM = 0.078, 2000.0


def grease_depth_um(depth: float, unit: str) -> float:
    """Depth [um] read off a grease comb in any length unit.

    A comb in inches prints its 2000 um mark as 0.078 in, which is 1981 um by arithmetic.  A reading
    at that mark, or between it and the true 2000 um, is therefore taken as 2000 um, so that the
    inch and the metric side of one comb give the same answer.
    """
    depth_um = convert(depth, unit, "um")
    if unit_code(unit) in ("in", "mil") and depth_um < DUCT_MARK_UM:
        at_mark = convert(depth, unit, "in") >= DUCT_MARK_IN - 1e-9
        return DUCT_MARK_UM if at_mark else depth_um
    return depth_um


def peak_to_rms(value: float, detector: str) -> float:
    """The rms value of a pure sine read by ``detector``; an overall reading has no such ratio."""
    if detector not in DETECTORS:
        raise UnitError(f"detector {detector!r} is not known; write rms or peak")
    return value / PEAK_PER_RMS if detector == "peak" else value
