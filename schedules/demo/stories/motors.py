"""Stories of motors and switches: windings, poles, capacitors, plates nobody can read."""

from __future__ import annotations

from schedules.demo.plates import (
    EC,
    ON_120,
    ON_208,
    ON_208_EC,
    ONE_HP,
    PSC,
    UNREADABLE,
    feed,
)
from schedules.demo.records import Days, Record, meter, named, shake, three, walk
from schedules.demo.stories.story import COL, RUTA, Stage


def three_poles(days: Days) -> Stage:
    """A closed switch measured pole by pole: one good, one high, one open."""
    stage = Stage("Tannevale Station Square", days)
    stage.fan("EF-1", ONE_HP, ON_208, Switch="3-pole toggle")
    stage.inspected(-25)
    stage.visit("walk_through", -32, walk("EF-1", seen={"switch_cover": "loose"}), by=COL,
                actions=[{"fan": "EF-1", "kind": "repaired", "item": "switch_cover"}])  # fmt: skip
    poles = {"pole_1": "0.2 ohm", "pole_2": "3.1 ohm", "pole_3": "OL", "lead_zero": "0.2 ohm"}
    stage.visit(
        "service_call", -2,
        {"fan": "EF-1", "readings": poles, "context": {"pole_meter": "multimeter"},
         "seen": {"switch_feel": "loose"}, "switch_left": "off"},
        clock="09:05",
        notes="Dead, locked and proved dead before the poles were measured. Water stains inside.",
        made_safe=[{
            "fan": "EF-1", "told": "the kitchen manager", "lock_holder": RUTA,
            "cook_line_stopped": True, "restarts_when": "a new outdoor switch is in",
        }],
    )  # fmt: skip
    return stage


def weak_capacitor(days: Days) -> Stage:
    """A run capacitor 13 % under its mark: the motor still turns, warmer and weaker."""
    stage = Stage("Tannevale Orchard Gate", days)
    stage.fan("EF-1", PSC, ON_120, classes="moderate")
    stage.inspected(-45)
    stage.visit("walk_through", -68, walk("EF-1"), by=COL)
    stage.visit(
        "walk_through", -7,
        walk("EF-1", readings={"capacitor": "8.7 uF"}, seen={"capacitor_case": "sound"}),
        notes="Discharged before it was touched.",
        recommendations=[{
            "fan": "EF-1", "subject": "capacitor", "cost": "95.00",
            "text": "Renew the 10 uF run capacitor at the next visit.",
            "decision": {"answer": "go_ahead", "on": days.on(-5), "decided_by": "Pia Lornevale"},
        }],
    )  # fmt: skip
    return stage


def built_in_electronics(days: Days) -> Stage:
    """An EC motor: a megger reading was taken all the same, says nothing and spoils nothing."""
    stage = Stage("Brackenmoor Old Sorrel Upper", days)
    stage.fan("EF-1", EC, ON_208_EC, system="Servery", classes="low")
    stage.inspected(-100, "Servery")
    vibration: Record = {"context": meter("rms"), "felt": ""}
    stage.visit("walk_through", -97, walk("EF-1", readings=shake(1.4, "mm/s"), **vibration))
    readings = {
        **shake(1.5, "mm/s"),
        "insulation": ">1000 megohm",
        "insulation_temperature": "28 C",
    }
    stage.visit(
        "walk_through", -35, walk("EF-1", readings=readings, **vibration),
        notes="Megged by habit. The maker asks that nobody does.",
    )  # fmt: skip
    return stage


def plate_unreadable(days: Days) -> Stage:
    """Sun and grease took the plate: amperes and vibration have nothing to be compared with."""
    stage = Stage("Tannevale Saddler Row", days)
    stage.fan("EF-1", UNREADABLE, feed("", confirmed="", overload="", present=""))
    stage.inspected(-16)
    stage.visit("walk_through", -113, walk("EF-1"), by=COL)
    readings = {**three("amps", (3.1, 3.0, 3.1), "A"), **three("volts", (207, 208, 208), "V"),
                **shake(0.14)}  # fmt: skip
    stage.visit(
        "walk_through", -50,
        walk("EF-1", readings=readings, context=meter(), felt=""),
        notes="Plate scoured blank. Photo taken of what is left.",
    )  # fmt: skip
    return stage


def declined_and_failed(days: Days) -> Stage:
    """A grinding motor, advice declined in spring, and a seized shaft on a full evening."""
    stage = Stage("Tannevale Old Brewery", days)
    stage.fan("EF-1", ONE_HP, ON_208, installed=-4900)
    stage.inspected(-22)
    advice = named("declined", days.on(0))
    stage.visit(
        "walk_through", -75, walk("EF-1", seen={"noise": "grinding"}),
        recommendations=[{
            "id": advice, "fan": "EF-1", "subject": "noise", "cost": "640.00",
            "text": "Renew the motor before its bearings seize; parts are in stock.",
        }],
    )  # fmt: skip
    stage.records.append({
        "type": "decision", "id": named("declined", "answer", days.on(0)),
        "recommendation": advice, "answer": "declined", "on": days.on(-73),
        "decided_by": "Pia Lornevale", "note": "Not this quarter.",
    })  # fmt: skip
    stage.visit("walk_through", -18, walk("EF-1", seen={"noise": "grinding"}), by=COL)
    stage.visit(
        "service_call", -3,
        {"fan": "EF-1", "seen": {"running": "dead"}},
        {"fan": "EF-1", "stage": "as_left",
         "seen": {"running": "runs", "noise": "usual", "rotation": "right"}, "switch_left": "on"},
        clock="21:30",
        notes="Shaft would not turn by hand. A spare motor was hung in to get through the night.",
        findings=[{
            "fan": "EF-1", "subject": "running", "item": "motor", "severity": "critical",
            "failure_mode": "FRO", "mechanism": "seizure", "cause": "wear",
            "loss_of_function": True, "failed_on": days.on(-3),
            "note": "Advice on this motor was declined ten weeks earlier.",
        }],
        actions=[{"fan": "EF-1", "kind": "temporary", "item": "motor",
                  "note": "spare of the wrong speed; renew with the right one"}],
    )  # fmt: skip
    return stage
