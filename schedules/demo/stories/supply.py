"""Stories of volts and amperes: what the meter says beside what the plate says."""

from __future__ import annotations

from schedules.demo.plates import (
    HALF_AGAIN,
    ON_208,
    ON_208_LARGE,
    ON_480,
    ONE_HP,
    ONE_HP_230,
    feed,
)
from schedules.demo.records import Days, named, three, walk
from schedules.demo.stories.story import COL, RUTA, Stage


def low_volts(days: Days) -> Stage:
    """A 230 V motor on a 208 V service reads 200 V: below its floor of 207 V, and always will."""
    stage = Stage("Tannevale Quarry Road", days)
    stage.fan("EF-1", ONE_HP_230, feed("230"))
    stage.inspected(-20)
    stage.visit("walk_through", -71, walk("EF-1"), by=COL)
    lines = {**three("volts", (202, 200, 200), "V"), **three("amps", (2.8, 2.8, 2.9), "A")}
    stage.visit(
        "walk_through", -10, walk("EF-1", readings=lines),
        notes="First time this motor's supply was measured. It runs cool to the hand.",
        recommendations=[{
            "fan": "EF-1", "subject": "volts", "cost": "85.00",
            "text": "Have the connection looked at: this motor is made for 230 V and gets 200 V. "
            "Ask for a 208-230 V motor when it is renewed, or for the transformer's tap.",
        }],
    )  # fmt: skip
    return stage


def range_plate(days: Days) -> Stage:
    """A plate that says 208-230 is content with 191 V, which a 230 V plate is not."""
    stage = Stage("Tannevale Mill Reach", days)
    stage.fan("EF-1", ONE_HP, ON_208)
    stage.inspected(-12)
    stage.visit("walk_through", -101, walk("EF-1"), by=COL)
    lines = {**three("volts", (190, 191, 190), "V"), **three("amps", (3.2, 3.1, 3.2), "A")}
    stage.visit("walk_through", -40, walk("EF-1", readings=lines))
    return stage


def dead_leg(days: Days) -> Stage:
    """One fuse is gone; the motor feeds the dead leg back, so that a voltmeter finds it alive."""
    stage = Stage("Tannevale Lantern Street", days)
    stage.fan("EF-1", ONE_HP, ON_208)
    stage.inspected(-33)
    stage.visit("walk_through", -38, walk("EF-1"), by=COL)
    lines = {**three("volts", (207, 189, 191), "V"), **three("amps", (4.0, 4.1, 0.1), "A")}
    stage.visit(
        "service_call", -1,
        {"fan": "EF-1", "readings": lines, "seen": {"running": "runs", "noise": "grinding"}},
        clock="11:15",
        notes="Cook reports a hum and little draught. Third leg carries nothing though the line "
        "reads 191 V there.",
        made_safe=[{
            "fan": "EF-1", "told": "the opening cook and the site manager",
            "lock_holder": RUTA, "cook_line_stopped": True,
            "restarts_when": "fuse block renewed and three legs alike", "promised_on": days.on(3),
        }],
    )  # fmt: skip
    return stage


def trips_again(days: Days) -> Stage:
    """A breaker reset twice in a week, and amperes too high, though not for its size."""
    stage = Stage("Tannevale Weir Lane", days)
    stage.fan("EF-1", HALF_AGAIN, ON_208_LARGE)
    stage.inspected(-41)
    stage.visit("walk_through", -30, walk("EF-1", seen={"motor_vents": "dusty"}), by=COL)
    kitchen = {"owner": "Tannevale Dining", "site": stage.site, "type": "event", "fan": "EF-1"}
    for day, clock in ((-9, "19:20"), (-5, "20:05")):
        stage.records.append({
            **kitchen, "kind": "breaker_reset", "started": days.at(day, clock), "resets": 1,
            "note": "reset by the shift manager, fan came back",
        })  # fmt: skip
    lines = {**three("volts", (207, 208, 206), "V"), **three("amps", (5.9, 5.7, 5.8), "A")}
    stage.visit(
        "service_call", -4,
        {"fan": "EF-1", "readings": lines, "seen": {"running": "runs", "motor_vents": "dusty"}},
        actions=[{"fan": "EF-1", "kind": "cleaned", "item": "motor_vents"}],
        notes="Tripped again last night. All legs above full load with a clean wheel, yet far "
        "under the breaker's 20 A. No more resets until windings, cable and breaker are tested.",
    )  # fmt: skip
    return stage


def bypassed_drive(days: Days) -> Stage:
    """The drive was bypassed after it failed, and with it went the motor's only overload."""
    stage = Stage("Brackenmoor Wexcombe Upper", days)
    bypass = {**ON_480, "Control": "drive bypassed", "Overload setting (A)": "",
              "Overload present": ""}  # fmt: skip
    stage.fan("EF-1", ONE_HP, bypass, classes="moderate")
    stage.inspected(-60)
    stage.visit("walk_through", -39, walk("EF-1"), by=COL)
    lines = {**three("volts", (478, 480, 479), "V"), **three("amps", (1.4, 1.4, 1.5), "A")}
    stage.visit(
        "walk_through", -8, walk("EF-1", readings=lines, seen={"overload_present": "none"}),
        notes="Bypass contactor pulled in, drive dark. Nothing but the breaker protects the motor.",
        recommendations=[{
            "id": named("bypassed", days.on(0)), "fan": "EF-1", "subject": "overload_present",
            "cost": "310.00",
            "text": "Fit an overload relay set for 1.6 A in the bypass, or renew the drive.",
            "decision": {"answer": "question", "on": days.on(-6), "decided_by": "plant office",
                         "note": "Which of the two lasts longer?"},
        }],
    )  # fmt: skip
    return stage
