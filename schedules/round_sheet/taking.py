"""What to look at and to read at one fan, from what brings somebody there; pure."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from fleet.quantities import (
    GREASE_PLACES,
    LOOK_LISTS,
    QUANTITIES,
    VIBRATION_POINTS,
)
from schedules.engine import (
    after_event,
    failure_odds,
    follow_up,
    grease,
    hours,
    inspection,
    restart,
    vibration,
    walk_through,
)
from schedules.engine.codes import SUBJECTS
from schedules.engine.record import RuleDate
from visits.limits import SUBJECTS_AHEAD

HOUR_METER = "hour_meter_h"
POWER = ("volts", "volts_unbalance", "amps", "amps_unbalance")
BELT = ("belt_deflection", "sheave_wear")
VIBRATION, GREASE = "vibration", "grease"
ON_A_WALK = (VIBRATION, *BELT, *POWER)
READ_FOR: Mapping[int, tuple[str, ...]] = {
    walk_through.number: ON_A_WALK,
    failure_odds.number: ON_A_WALK,
    inspection.number: (GREASE,),
    hours.number: (),
    grease.number: (GREASE,),
    restart.number: (*POWER, "overload", "insulation", VIBRATION, *BELT),
}
"""Subjects read for a rule; our choice.  What an event or a finding asks for is told apart."""
READ_AFTER: Mapping[str, tuple[str, ...]] = {
    "hood_cleaning": (VIBRATION,), "new_belt": ("belt_deflection", VIBRATION),
    "start_up": (*POWER, "overload", VIBRATION), "after_start_up": (*POWER, VIBRATION),
    "power_event": ("volts", "volts_unbalance"), "storm": (),
}  # fmt: skip
LOOK_AFTER: Mapping[str, str] = {"after_start_up": "start_up"}
USUAL_POINTS, BELT_POINTS = ("motor_radial",), ("motor_radial", "bearing_radial")
READ_WITH: Mapping[str, tuple[str, ...]] = {
    "lost_phase": ("amps", "amps_unbalance"), "volts": ("volts", "volts_unbalance"),
    "volts_unbalance": ("volts", "volts_unbalance"), "amps": ("volts", "amps", "amps_unbalance"),
    "amps_unbalance": ("volts", "amps", "amps_unbalance"), "vibration_felt": (VIBRATION,),
}  # fmt: skip
"""Open subjects that are read by, or together with, others."""


@dataclass(frozen=True, slots=True)
class Coming:
    """What brings somebody to a fan.

    ``dates`` are the rules that ask for it, ``open_subjects`` those of all open findings;
    ``points`` are where vibration was measured before.
    """

    dates: Sequence[RuleDate]
    open_subjects: Sequence[str] = ()
    is_belt_driven: bool = False
    points: Sequence[str] = ()
    has_hour_meter: bool = False


def to_look_at(coming: Coming) -> list[str]:
    """Entries of ``LOOK_LISTS`` asked for, and seen items at which a finding is open."""
    entries = [entry for told in coming.dates for entry in _list_of(told, coming.is_belt_driven)]
    is_open = [name for name in coming.open_subjects if name in SEEN_ITEMS]
    return list(dict.fromkeys([*entries, *is_open]))


SEEN_ITEMS = frozenset(name for name, quantity in QUANTITIES.items() if quantity.is_seen)


def _list_of(told: RuleDate, is_belt_driven: bool) -> Iterable[str]:
    if told.rule == after_event.number:
        return LOOK_LISTS[LOOK_AFTER.get(told.why, told.why)]
    if told.rule in (walk_through.number, failure_odds.number, restart.number):
        return LOOK_LISTS[walk_through.LISTS[is_belt_driven]]
    return ("bearings",) if told.rule == hours.number else ()


def to_read(coming: Coming) -> list[str]:
    """Subjects of ``SUBJECTS_AHEAD`` to be read, in their order there; not yet by motor."""
    wanted = [name for told in coming.dates for name in _read_for(told)]
    for name in coming.open_subjects:
        wanted += READ_WITH.get(name, (name,))
    found = {subject for name in wanted for subject in _whole(name, coming)}
    return [subject for subject in SUBJECTS_AHEAD if subject in found]


def to_note(coming: Coming) -> list[str]:
    """Readings without a limit that dates are reckoned from."""
    return [HOUR_METER] if coming.has_hour_meter else []


def _read_for(told: RuleDate) -> Sequence[str]:
    if told.rule in _OWN:
        return _OWN[told.rule](told)
    return READ_FOR[told.rule]


def _after_event(told: RuleDate) -> Sequence[str]:
    return READ_AFTER[told.why]


def _finding(told: RuleDate) -> Sequence[str]:
    name = SUBJECTS[int(told.args.get("subject", 0))]
    return READ_WITH.get(name, (name,))


def _vibration(told: RuleDate) -> Sequence[str]:
    place = int(told.args.get("point", 0))
    point = vibration.POINTS[place] if place < len(vibration.POINTS) else ""
    return (f"vibration_{point}",) if point in VIBRATION_POINTS else (VIBRATION,)


_OWN: Mapping[int, Callable[[RuleDate], Sequence[str]]] = {
    after_event.number: _after_event,
    follow_up.number: _finding,
    vibration.number: _vibration,
}


def _whole(name: str, coming: Coming) -> Iterable[str]:
    """Vibration by its points, grease by its places."""
    if name == VIBRATION:
        usual = BELT_POINTS if coming.is_belt_driven else USUAL_POINTS
        return [f"vibration_{point}" for point in coming.points or usual]
    if name == GREASE:
        return [f"grease_{place}" for place in GREASE_PLACES]
    return [name]


INSTRUMENTS: Mapping[str, str] = {
    "vibration": "vibration_meter", "grease": "grease_comb", "belt_deflection": "belt_gauge",
    "sheave_wear": "sheave_gauge", "insulation": "insulation_tester",
    "winding": "low_ohm_meter", "pole": "low_ohm_meter", "capacitor": "capacitance_meter",
    "volts": "multimeter", "amps": "clamp_meter", "temperature_difference": "heat_camera",
}  # fmt: skip
"""By limit rule of the registry; common practice, no source."""


def instruments_for(quantities: Iterable[str]) -> list[str]:
    """What these readings are taken with, each once, in the order of the table."""
    rules = {QUANTITIES[name].rule for name in quantities}
    return list(dict.fromkeys(tool for rule, tool in INSTRUMENTS.items() if rule in rules))


def is_live(quantities: Iterable[str]) -> bool:
    """Whether such a reading is taken on live parts."""
    return any(QUANTITIES[name].live for name in quantities)
