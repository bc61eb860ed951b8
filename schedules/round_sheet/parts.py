"""Parts perhaps needed at a fan, guessed from open findings, answers and plates; pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from fleet.plates import Feed, Plate
from fleet.quantities import SPLIT_CAPACITOR, VERDICT_ORDER, Verdict
from visits.limits.basis import PRACTICE, Basis


@dataclass(frozen=True, slots=True)
class PartRow:
    """A part, the subjects whose faults it may cure, and from which verdict on.

    Vibration of any point is one subject.
    ``sizes`` are the fields of plate or feed that say which one; ``motors`` narrows it to types of
    motor, ``belt_only`` to belt drives.
    """

    part: str
    subjects: tuple[str, ...]
    least: Verdict = "act"
    sizes: tuple[str, ...] = ()
    motors: tuple[str, ...] = ()
    belt_only: bool = False
    basis: Basis = PRACTICE


PARTS: tuple[PartRow, ...] = (
    PartRow("belt", ("belt", "belt_deflection"), "watch", ("belt",), belt_only=True),
    PartRow("sheaves", ("sheaves", "sheave_wear"), "act", ("sheaves",), belt_only=True),
    PartRow(
        "bearings", ("bearings", "noise"), "act", ("bore_mm", "bearing_type", "bearings", "frame")
    ),
    PartRow("grease", ("regreasing",), "watch", ("bearing_type",)),
    PartRow(
        "capacitor", ("capacitor", "capacitor_case"), "watch",
        ("capacitor_uf", "capacitor_tolerance_percent", "volts"), motors=(SPLIT_CAPACITOR,),
    ),
    PartRow("switch", ("switch", "switch_feel", "poles"), "act", ("switch", "poles", "volts")),
    PartRow("switch_cover", ("switch_cover", "conduit"), "act"),
    PartRow("cable", ("cable",), "act", ("full_load_amps",)),
    PartRow("hinge", ("hinge",), "act"),
    PartRow("catch", ("catch",), "watch"),
    PartRow("grease_box", ("grease_box",), "watch"),
    PartRow("guard", ("guard",), "act"),
    PartRow("curb_seal", ("curb",), "watch"),
    PartRow("setscrews", ("setscrews",), "act", ("bore_mm",)),
    PartRow("wheel", ("wheel", "wheel_gap"), "act", ("wheel",)),
    PartRow("wheel_cleaning", ("wheel", "vibration"), "watch"),
    PartRow("fuses", ("lost_phase",), "act", ("full_load_amps",)),
    PartRow("terminals", ("temperature_difference",), "act"),
    PartRow("overload", ("overload", "overload_present"), "act", ("full_load_amps",)),
    PartRow(
        "motor", ("motor", "running", "insulation", "winding_unbalance"), "act",
        ("power_hp", "volts", "phases", "speed_rpm", "frame"),
    ),
    PartRow("hood_switch", ("hood_switch",), "act"),
    PartRow("heat_sensor", ("heat_sensor",), "act"),
)  # fmt: skip
"""Common practice, no source."""
NOT_BOTH = {"wheel_cleaning": "wheel"}
"""A part that nobody needs beside another."""


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a part is thought of: an open ``finding``, ``agreed`` advice, or work that is ``due``.

    ``subject`` is what it is about; ``verdict`` and ``day`` are those of the finding, ``day`` the
    answer's where the owner agreed, 0 where the agreement needs none.
    """

    kind: str
    subject: str
    verdict: Verdict = "act"
    day: int = 0


@dataclass(frozen=True, slots=True)
class Guess:
    """A part for one fan; ``size`` is what plate and feed say of it, empty where they do not."""

    part: str
    size: tuple[tuple[str, Any], ...]
    reasons: tuple[Reason, ...]


def guess_parts(plate: Plate, feed: Feed, reasons: Iterable[Reason]) -> list[Guess]:
    """What to bring, perhaps: a part once for all its reasons, in the order of the table."""
    known = list(reasons)
    found = {}
    for row in PARTS:
        mine = tuple(reason for reason in known if _speaks_for(row, reason))
        if mine and _fits(row, plate):
            found[row.part] = Guess(row.part, _size(row.sizes, plate, feed), mine)
    return [guess for part, guess in found.items() if NOT_BOTH.get(part) not in found]


def _speaks_for(row: PartRow, reason: Reason) -> bool:
    subject = "vibration" if reason.subject.startswith("vibration") else reason.subject
    return subject in row.subjects and VERDICT_ORDER[reason.verdict] >= VERDICT_ORDER[row.least]


def _fits(row: PartRow, plate: Plate) -> bool:
    if row.belt_only and plate.drive == "direct":
        return False
    return not row.motors or plate.motor_type in ("", *row.motors)


def _size(names: Sequence[str], plate: Plate, feed: Feed) -> tuple[tuple[str, Any], ...]:
    told = ((name, _value(name, plate, feed)) for name in names)
    return tuple((name, value) for name, value in told if value not in (None, ""))


def _value(name: str, plate: Plate, feed: Feed) -> Any:
    return getattr(plate, name) if hasattr(plate, name) else getattr(feed, name)
