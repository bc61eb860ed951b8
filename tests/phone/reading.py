"""What a phone makes of the limits it took along: the rule of the contract, read slowly.

Words of the API's schema: a value belongs to the first interval that it does not lie beyond.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from fleet.units import convert

NEARLY = 1e-9
Told = Mapping[str, Any]


def verdict_of(
    field: Told, value: float, unit: str, canonical: str, *,
    qualifier: str = "", said: Mapping[str, str] | None = None,
    beside: Mapping[str, float] | None = None,
) -> str:  # fmt: skip
    """The verdict of one figure typed in ``unit``, beside what was said and read as it stands."""
    way = _way(field, unit, said or {}, beside or {})
    when = way.get("when", {})
    compared = value if when.get("unit") else convert(value, unit, canonical)
    if less := when.get("less"):
        compared -= (beside or {})[less]
    return told_by(way.get("bounds", []), compared, qualifier)


def _way(field: Told, unit: str, said: Mapping[str, str], beside: Mapping[str, float]) -> Told:
    fitting = [
        each for each in field.get("variants", ()) if _holds(each["when"], unit, said, beside)
    ]
    return max(fitting, key=lambda each: _keys(each["when"]), default=field)


def _keys(when: Told) -> int:
    return len(when) + ("near" in when.get("volts", {}))


def _holds(when: Told, unit: str, said: Mapping[str, str], beside: Mapping[str, float]) -> bool:
    for name, wanted in when.items():
        match name:
            case "unit":
                holds = unit == wanted
            case "volts":
                holds = _between(wanted, beside)
            case "less":
                holds = wanted in beside
            case _:
                holds = said.get(name, "") == wanted
        if not holds:
            return False
    return True


def _between(lines: Told, beside: Mapping[str, float]) -> bool:
    volts = [beside[name] for name in lines["fields"] if name in beside]
    if not volts:
        return False
    low, high = lines["mean"]
    mean = sum(volts) / len(volts)
    if (low is not None and mean <= low) or (high is not None and mean > high):
        return False
    near = lines.get("near")
    if near is None:
        return True
    if any(name not in beside for name in near["fields"]):
        return False
    least, most = near["between"]
    slack = NEARLY * most
    return all(least - slack <= beside[name] <= most + slack for name in near["fields"])


def told_by(bounds: Sequence[Told], value: float, qualifier: str = "") -> str:
    """The verdict of a figure among intervals; none of them, or several, cannot be judged."""
    if not bounds or qualifier == "unstable":
        return "cannot_judge"
    wide = [each for each in bounds if each["low"] != each["high"] or each["low"] is None]
    if qualifier == "<":
        found = [each for each in wide if _reaches(each, 0.0, value)]
    elif qualifier in (">", "over"):
        found = [each for each in wide if _reaches(each, value, float("inf"))]
    else:
        found = [next(each for each in bounds if _fits(each, value))]
    return found[0]["verdict"] if len(found) == 1 else "cannot_judge"


def _fits(bound: Told, value: float) -> bool:
    high = bound["high"]
    if high is None:
        return True
    slack = NEARLY * abs(high)
    if bound["low"] == high:
        return bool(value == high)
    return bool(value < high - slack or (bound.get("high_in") and value <= high + slack))


def _reaches(bound: Told, low: float, high: float) -> bool:
    """Whether any value between lies in it, ends apart."""
    begin, end = bound["low"] or 0.0, bound["high"]
    slack = NEARLY * abs(end or 0.0)
    return high > begin + NEARLY * begin and (end is None or low < end - slack)
