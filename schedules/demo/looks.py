"""What a technician writes down of an ageing fan, and what is done about it on the spot."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from random import Random
from typing import Any

from schedules.demo.physics import FanLife
from schedules.demo.plates import Columns
from schedules.demo.records import Record, comb, meter, shake, three, walk

MENDED_ON_THE_SPOT = {
    "grease_box": ("cleaned", 0.95), "motor_vents": ("cleaned", 0.85), "wheel": ("cleaned", 0.5),
    "switch_cover": ("repaired", 0.9), "hinge": ("repaired", 0.6), "catch": ("repaired", 0.6),
    "cable": ("replaced", 0.6), "curb": ("repaired", 0.5), "belt": ("replaced", 0.85),
    "sheaves": ("replaced", 0.4), "bearings": ("replaced", 0.6), "noise": ("repaired", 0.4),
}  # fmt: skip
"""What is done about an item out of order, and how often at once."""
FINE = {
    "grease_box": "fine", "motor_vents": "clear", "wheel": "clean", "switch_cover": "tight",
    "hinge": "sound", "catch": "engaged", "cable": "sound", "curb": "tight", "belt": "sound",
    "sheaves": "sound", "bearings": "quiet", "noise": "usual", "corrosion": "none",
}  # fmt: skip
BALANCED_FROM_MM_S = 7.5
RMS_MM_S_TO_PEAK_IN_S = sqrt(2) / 25.4


@dataclass(slots=True)
class Fan:
    """A fan of the generated fleet: its row in the file, its life, how its roof is measured."""

    tag: str
    system: str
    row: Columns
    life: FanLife
    rng: Random
    metric: bool
    has_panel: bool
    seen_day: int | None = None

    @property
    def is_belt(self) -> bool:
        return self.life.belt


@dataclass(slots=True)
class Worked:
    """What one visit did to one fan."""

    checks: list[Record]
    actions: list[Record]
    left_open: bool = False
    new_belt: bool = False


def walk_through(fan: Fan, *, with_meter: bool, live: bool) -> Worked:
    """A complete look, the same look that settles a hood cleaning or a storm, and the work."""
    readings, parts = _readings(fan, with_meter, live)
    seen = {**fan.life.states, "rotation": "right", "wheel_gap": "even"}
    if fan.life.states.get("corrosion") == "surface":
        parts["lasting"] = ["corrosion"]
    felt = "" if with_meter else fan.life.felt()
    check = walk(fan.tag, belt=fan.is_belt, felt=felt, seen=seen, readings=readings, **parts)
    return _work(fan, check, with_meter)


def after_cleaning(fan: Fan, *, with_meter: bool) -> Worked:
    """The shorter look after a hood cleaning."""
    readings = _vibration(fan) if with_meter else {}
    items = ("hinge", "catch", "cable", "wheel", "grease_box")
    seen = {item: fan.life.states.get(item, FINE[item]) for item in items}
    seen |= {"running": "runs", "rotation": "right", "wheel_gap": "even"}
    check: Record = {"fan": fan.tag, "seen": seen}
    if with_meter:
        check |= {"readings": readings, "context": _meter(fan)}
    else:
        seen["vibration_felt"] = fan.life.felt()
    return _work(fan, check, with_meter)


def _readings(fan: Fan, with_meter: bool, live: bool) -> tuple[dict[str, Any], dict[str, Any]]:
    readings: dict[str, Any] = {}
    parts: dict[str, Any] = {}
    if with_meter:
        readings |= _vibration(fan)
        parts["context"] = _meter(fan)
    if fan.has_panel:
        for place in fan.life.grease_um:
            readings[f"grease_{place}"] = comb(*fan.life.comb_um(place))
    if live:
        readings |= _live(fan)
    return readings, parts


def _meter(fan: Fan) -> dict[str, Any]:
    return meter("rms" if fan.metric else "peak")


def _vibration(fan: Fan) -> dict[str, Any]:
    value = fan.life.read_mm_s()
    if fan.metric:
        return shake(round(value, 1), "mm/s")
    return shake(round(value * RMS_MM_S_TO_PEAK_IN_S, 2))


def _live(fan: Fan) -> dict[str, Any]:
    """Volts and amperes by somebody qualified, where the plate can be read."""
    rng, row = fan.rng, fan.row
    if "?" in row["Full-load amps"]:
        return {}
    supply = float(row["Service volts"]) * rng.uniform(0.975, 1.01)
    load = _full_load_a(row) * rng.uniform(0.78, 0.95)
    volts = [round(supply + rng.uniform(-1.2, 1.2)) for _ in range(3)]
    amps = [round(load * rng.uniform(0.98, 1.02), 1) for _ in range(3)]
    if row["Motor type"] == "three phase":
        return {**three("volts", volts, "V"), **three("amps", amps, "A")}
    return {"volts_ab": f"{volts[0]} V", "amps_a": f"{amps[0]} A"}


def _full_load_a(row: Columns) -> float:
    """Plate amperes of the connection in use: the last printed on 480 V, else the first."""
    printed = row["Full-load amps"].replace("/", "-").split("-")
    return float(printed[-1 if row["Service volts"] == "480" else 0])


def _work(fan: Fan, check: Record, with_meter: bool) -> Worked:
    """Mend what is out of order, as far as parts and time go, and look again."""
    life = fan.life
    fan.seen_day = life.day
    worked = Worked([check], [])
    left: dict[str, str] = {}
    for item in sorted(set(life.states) & set(check["seen"]) & set(MENDED_ON_THE_SPOT)):
        kind, often = MENDED_ON_THE_SPOT[item]
        if fan.rng.random() < often:
            worked.actions.append({"fan": fan.tag, "kind": kind, "item": item})
            worked.new_belt |= item == "belt"
            left[item] = FINE[item]
            life.mend(item)
    shaken = life.true_mm_s > BALANCED_FROM_MM_S and fan.rng.random() < 0.7
    if shaken:
        worked.actions.append({"fan": fan.tag, "kind": "balanced", "item": "wheel"})
        life.balance()
        left["wheel"] = FINE["wheel"]
    worked.left_open = any(item in life.states for item in check["seen"] if item != "corrosion")
    if left:
        worked.checks.append(_as_left(fan, left, with_meter and shaken))
    return worked


def _as_left(fan: Fan, left: dict[str, str], measure: bool) -> Record:
    check: Record = {"fan": fan.tag, "stage": "as_left", "seen": left, "switch_left": "on"}
    if measure:
        check |= {"readings": _vibration(fan), "context": _meter(fan)}
    return check
