"""Short ways to write records as people send them: days counted from today, whole looks, visits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from uuid import UUID, uuid5

from fleet.quantities import WALK_THROUGH_BELT, WALK_THROUGH_DIRECT

Record = dict[str, Any]
FRIDAY = 4
NAMESPACE = UUID("6c8c1d52-2f0b-5a43-9d55-0a4b7c1f20e8")
"""Ids of findings and advice that later records refer to lie in here."""

WELL = {
    "running": "runs", "noise": "usual", "motor_vents": "clear", "corrosion": "none",
    "hinge": "sound", "catch": "engaged", "cable": "sound", "switch_cover": "tight",
    "wheel": "clean", "grease_box": "fine", "guard": "on", "curb": "tight", "belt": "sound",
    "sheaves": "sound", "bearings": "quiet",
}  # fmt: skip
"""What a walk-through finds on a fan in order."""
CLEANED = {
    "running": "runs", "rotation": "right", "hinge": "sound", "catch": "engaged", "cable": "sound",
    "wheel": "clean", "wheel_gap": "even", "grease_box": "fine",
}  # fmt: skip
"""What the look after a hood cleaning finds on a fan in order, beside its vibration."""


@dataclass(frozen=True, slots=True)
class Days:
    """Days counted from today, in the site's own clock."""

    today: date

    def on(self, offset: int) -> str:
        """The day ``offset`` days from today."""
        return (self.today + timedelta(days=offset)).isoformat()

    def working(self, offset: int) -> int:
        """The same day, or the Monday after it where it falls on a weekend."""
        weekday = (self.today + timedelta(days=offset)).weekday()
        return offset + (7 - weekday if weekday > FRIDAY else 0)

    def at(self, offset: int, clock: str) -> str:
        """The same with a time of day."""
        return f"{self.on(offset)}T{clock}"


def named(*words: str) -> str:
    """A lasting id for something another record will name."""
    return str(uuid5(NAMESPACE, "/".join(words)))


def walk(fan: str, *, belt: bool = False, felt: str = "none", **parts: Any) -> Record:
    """A complete walk-through of one fan; ``seen`` gives what is not in order.

    Other ``parts`` (readings, context, lasting, notes ...) go in as they are.  With a measured
    vibration nobody feels for it: give ``felt=""``.
    """
    items = WALK_THROUGH_BELT if belt else WALK_THROUGH_DIRECT
    well = {item: WELL[item] for item in items if item in WELL}
    return _check(fan, well, felt, parts)


def after_cleaning(fan: str, *, felt: str = "none", **parts: Any) -> Record:
    """The look that follows a hood cleaning; arguments as for ``walk``."""
    return _check(fan, CLEANED, felt, parts)


def _check(fan: str, well: Mapping[str, str], felt: str, parts: dict[str, Any]) -> Record:
    seen = {**well, **parts.pop("seen", {})}
    if felt:
        seen["vibration_felt"] = felt
    return {"fan": fan, "seen": seen, **parts}


def shake(value: float, unit: str = "in/s") -> dict[str, Any]:
    """Vibration of the motor, radial, as written off the meter."""
    return {"vibration_motor_radial": f"{value:g} {unit}"}


def meter(detector: str = "peak", hz: float | None = None) -> dict[str, Any]:
    """What the vibration meter shows, for the context of a check."""
    found: dict[str, Any] = {"vibration_detector": detector, "vibration_meter": "overall"}
    return found if hz is None else {**found, "vibration_hz": hz}


def three(name: str, values: Sequence[float], unit: str) -> dict[str, str]:
    """Three lines or legs: ``three("volts", (202, 200, 200), "V")``."""
    ends = ("ab", "bc", "ca") if name in ("volts", "winding") else ("a", "b", "c")
    return {f"{name}_{end}": f"{value:g} {unit}" for end, value in zip(ends, values, strict=True)}


def comb(low_um: float, high_um: float) -> dict[str, Any]:
    """A grease comb's interval: the last tooth that touched, the first that did not."""
    return {"low": low_um, "high": high_um, "unit": "um"}


@dataclass(frozen=True, slots=True)
class Kitchen:
    """One site by name; its methods write records of it."""

    owner: str
    site: str

    def visit(
        self, kind: str, began_at: str, *checks: Record, technician: str = "", **parts: Any
    ) -> Record:
        """A visit with its checks; ``parts`` are findings, actions and the rest as documented."""
        return {
            "type": "visit", "kind": kind, "owner": self.owner, "site": self.site,
            "began_at": began_at, **({"technician": technician} if technician else {}),
            **({"checks": list(checks)} if checks else {}), **parts,
        }  # fmt: skip

    def inspection(self, began_at: str, *systems: str, technician: str, note: str = "") -> Record:
        """A code inspection by somebody recorded as qualified for it."""
        rows = [{"system": name, "areas_not_cleaned": note} for name in systems]
        return self.visit("code_inspection", began_at, technician=technician, inspections=rows)

    def event(self, kind: str, started: str, **parts: Any) -> Record:
        """Something that happened between visits."""
        return {
            "type": "event", "kind": kind, "owner": self.owner, "site": self.site,
            "started": started, **parts,
        }  # fmt: skip
