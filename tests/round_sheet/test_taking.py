"""What is looked at and read for each rule, event and open finding."""

from __future__ import annotations

from typing import Any

import pytest

from fleet.quantities import LOOK_LISTS, WALK_THROUGH_BELT, WALK_THROUGH_DIRECT
from schedules.engine.codes import subject_code
from schedules.engine.record import RuleDate
from schedules.engine.rule import Rule
from schedules.engine.rules import RULE_MODULES
from schedules.engine.vibration import POINTS
from schedules.round_sheet.taking import (
    Coming,
    instruments_for,
    is_live,
    to_look_at,
    to_note,
    to_read,
)

POWER = ["volts", "volts_unbalance", "amps", "amps_unbalance"]
GREASE = ["grease_hood", "grease_duct", "grease_housing"]


def coming(rule: int, why: str = "", args: dict[str, float] | None = None, **more: Any) -> Coming:
    return Coming([RuleDate(rule, 1, 2, why, args or {})], **more)


@pytest.mark.parametrize(("task", "subjects"), [
    (coming(1), [*POWER, "vibration_motor_radial", "belt_deflection", "sheave_wear"]),
    (coming(1, is_belt_driven=True, points=["curb"]),
     [*POWER, "vibration_curb", "belt_deflection", "sheave_wear"]),
    (coming(2), GREASE),
    (coming(3), []),
    (coming(4), GREASE),
    (coming(5, args={"point": POINTS.index("motor_axial")}), ["vibration_motor_axial"]),
    (coming(5, args={"point": POINTS.index("felt")}, points=["curb"]), ["vibration_curb"]),
    (coming(6, args={"subject": subject_code("insulation")}), ["insulation"]),
    (coming(6, args={"subject": subject_code("lost_phase")}), ["amps", "amps_unbalance"]),
    (coming(6, args={"subject": subject_code("hinge")}), []),
    (coming(7, "new_belt"), ["vibration_motor_radial", "belt_deflection"]),
    (coming(7, "start_up"), [*POWER, "overload", "vibration_motor_radial"]),
    (coming(7, "storm"), []),
    (coming(7, "storm", open_subjects=["capacitor"]), ["capacitor"]),
])  # fmt: skip
def test_reading_when_a_rule_asks_then_these_subjects(task: Coming, subjects: list[str]) -> None:
    assert to_read(task) == subjects


@pytest.mark.parametrize("rule", RULE_MODULES, ids=lambda rule: str(rule.number))
def test_reading_when_any_rule_gives_any_reason_then_told(rule: Rule) -> None:
    for why in rule.whys[1:]:
        task = coming(rule.number, why)
        assert isinstance(to_read(task) + to_look_at(task), list)


@pytest.mark.parametrize(("task", "entries"), [
    (coming(1), list(WALK_THROUGH_DIRECT)),
    (coming(9, is_belt_driven=True), list(WALK_THROUGH_BELT)),
    (coming(7, "hood_cleaning"), list(LOOK_LISTS["hood_cleaning"])),
    (coming(7, "after_start_up"), list(LOOK_LISTS["start_up"])),
    (coming(3), ["bearings"]),
    (coming(4, open_subjects=["hinge", "volts"]), ["hinge"]),
])  # fmt: skip
def test_looking_when_a_rule_asks_then_its_list(task: Coming, entries: list[str]) -> None:
    assert to_look_at(task) == entries


def test_hour_meter_when_it_was_read_before_then_noted_again() -> None:
    tasks = [coming(1), coming(1, has_hour_meter=True)]
    assert list(map(to_note, tasks)) == [[], ["hour_meter_h"]]


def test_instruments_when_readings_need_them_then_each_once() -> None:
    names = ["winding_ab_ohm", "pole_1_ohm", "capacitor_uf", "hour_meter_h"]
    assert instruments_for(names) == ["low_ohm_meter", "capacitance_meter"]


@pytest.mark.parametrize(("name", "live"), [("volts_ab_v", True), ("amps_c_a", True),
                                            ("insulation_megohm", False)])  # fmt: skip
def test_live_when_read_on_live_parts(name: str, live: bool) -> None:
    assert is_live(["hour_meter_h", name]) is live
