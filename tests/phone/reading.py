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
    qualifier: str = "", said: Mapping[str, str] | None = None, volts: Sequence[float] = (),
) -> str:  # fmt: skip
    """The verdict of one figure typed in ``unit``, beside what was said and the lines read."""
    way = _way(field, unit, said or {}, volts)
    compared = value if way.get("when", {}).get("unit") else convert(value, unit, canonical)
    return told_by(way.get("bounds", []), compared, qualifier)


def _way(field: Told, unit: str, said: Mapping[str, str], volts: Sequence[float]) -> Told:
    fitting = [
        each for each in field.get("variants", ()) if _holds(each["when"], unit, said, volts)
    ]
    return max(fitting, key=lambda each: _keys(each["when"]), default=field)


def _keys(when: Told) -> int:
    return len(when) + ("each" in when.get("lines", {}))


def _holds(when: Told, unit: str, said: Mapping[str, str], volts: Sequence[float]) -> bool:
    for name, wanted in when.items():
        if name == "unit":
            if unit != wanted:
                return False
        elif name == "lines":
            if not _between(wanted, volts):
                return False
        elif said.get(name, "") != wanted:
            return False
    return True


def _between(lines: Told, volts: Sequence[float]) -> bool:
    if not volts:
        return False
    low, high = lines["mean"]
    mean = sum(volts) / len(volts)
    if (low is not None and mean <= low) or (high is not None and mean > high):
        return False
    each = lines.get("each")
    slack = NEARLY * each[1] if each else 0.0
    return each is None or all(each[0] - slack <= volt <= each[1] + slack for volt in volts)


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
