"""Stories of vibration: steps, meters, hands and speeds."""

from __future__ import annotations

from schedules.demo.plates import HALF_AGAIN, ON_208, ON_208_LARGE, ONE_HP, TWO_HP, feed
from schedules.demo.records import Days, Record, after_cleaning, meter, shake, three, walk
from schedules.demo.stories.story import COL, Stage

PEAK: Record = {"context": meter(), "felt": ""}
RMS: Record = {"context": meter("rms"), "felt": ""}


def tipped(days: Days) -> Stage:
    """The crew tipped the fan on its hinge to clean; it came back shaking twice as much."""
    stage = Stage("Tannevale Cattle Market", days)
    stage.fan("EF-1", ONE_HP, ON_208)
    stage.inspected(-18)
    for day, value in ((-160, 0.10), (-100, 0.11), (-40, 0.10)):
        stage.visit("walk_through", day, walk("EF-1", readings=shake(value), **PEAK))
    stage.cleaned(-9, "hood", "duct", tipped=("EF-1",))
    stage.visit(
        "maintenance",
        -5,
        after_cleaning("EF-1", readings=shake(0.24), seen={"wheel_gap": "uneven"}, **PEAK),
        notes="Hinge pins dry, fan does not sit back where it sat.",
    )
    return stage


def second_switch(days: Days) -> Stage:
    """The second switch in eleven months; each time the fan above it was shaking."""
    stage = Stage("Tannevale Foundry Yard", days)
    stage.fan("EF-1", HALF_AGAIN, ON_208_LARGE)
    stage.inspected(-28)
    _switch_fails(stage, days, -335, 0.55, left=0.20, balanced=True)
    for day, value in ((-280, 0.22), (-160, 0.27), (-45, 0.29)):
        stage.visit("walk_through", day, walk("EF-1", readings=shake(value), **PEAK))
    _switch_fails(stage, days, -6, 0.52)
    return stage


def _switch_fails(
    stage: Stage, days: Days, day: int, found: float, left: float = 0.0, balanced: bool = False
) -> None:
    checks = [{"fan": "EF-1", "readings": shake(found), "context": meter(),
               "seen": {"noise": "new"}}]  # fmt: skip
    if left:
        checks.append({"fan": "EF-1", "stage": "as_left", "readings": shake(left),
                       "context": meter(), "seen": {"noise": "usual"}})  # fmt: skip
    work = [{"fan": "EF-1", "kind": "replaced", "item": "switch",
             "part": "30 A three-pole, outdoor"}]  # fmt: skip
    if balanced:
        work.append({"fan": "EF-1", "kind": "balanced", "item": "wheel"})
    stage.visit(
        "service_call", day, *checks, clock="17:50", actions=work,
        findings=[{
            "fan": "EF-1", "subject": "poles", "item": "switch", "severity": "critical",
            "failure_mode": "FTS", "mechanism": "loosening", "loss_of_function": True,
            "failed_on": days.on(day), "note": "one pole burnt at a loosened screw",
        }],
    )  # fmt: skip


def by_hand(days: Days) -> Stage:
    """Nobody carries a meter to this roof; the curb hums and a hand can tell."""
    stage = Stage("Tannevale Chapel Rise", days)
    stage.fan("EF-1", ONE_HP, ON_208)
    stage.inspected(-14)
    stage.visit("walk_through", -125, walk("EF-1"), by=COL)
    stage.visit("walk_through", -64, walk("EF-1", felt="slight"), by=COL)
    stage.visit(
        "walk_through", -4, walk("EF-1", felt="strong"), by=COL,
        notes="Curb hums, screen of the guard buzzes.",
    )  # fmt: skip
    return stage


def two_speeds(days: Days) -> Stage:
    """On a drive: 0.7 mm/s at 30 Hz and 2.1 at 60 Hz are two speeds, not a step."""
    stage = Stage("Tannevale Canal Head", days)
    on_drive = feed("208-230", control="drive", drive_volts="208", overload="", present="")
    stage.fan("EF-1", TWO_HP, on_drive)
    stage.inspected(-30)
    speeds = ((-215, 2.0, 60), (-155, 2.1, 60), (-94, 0.7, 30), (-33, 2.1, 60))
    for day, value, hertz in speeds:
        readings = {
            **shake(value, "mm/s"),
            **three("amps", (5.9, 5.9, 6.0) if hertz == 60 else (2.4, 2.4, 2.5), "A"),
        }
        context = {**meter("rms", hz=hertz), "amps_place": "drive_output"}
        look = walk("EF-1", readings=readings, context=context, felt="")
        stage.visit("walk_through", day, look)
    return stage


def machine_replaced(days: Days) -> Stage:
    """A new machine on an old position: the history stays, the vibration starts anew."""
    stage = Stage("Brackenmoor Cinder Bend Upper", days)
    stage.fan("EF-1", ONE_HP, ON_208, system="Servery", classes="low", installed=-5200)
    stage.inspected(-70, "Servery")
    for day, value in ((-160, 5.0), (-100, 7.4), (-40, 9.3)):
        stage.visit("walk_through", day, walk("EF-1", readings=shake(value, "mm/s"), **RMS))
    left = {
        "fan": "EF-1", "stage": "as_left",
        "readings": {**three("volts", (208, 207, 208), "V"), **three("amps", (2.9, 2.9, 3.0), "A"),
                     **shake(1.6, "mm/s")},
        "context": meter("rms"),
        "seen": {"running": "runs", "rotation": "right", "setscrews": "tight", "noise": "usual"},
        "switch_left": "on",
    }  # fmt: skip
    stage.visit(
        "replacement", -12, left, clock="15:10",
        notes="Old fan lifted off, new one set on the old curb.",
        actions=[{"fan": "EF-1", "kind": "replaced", "item": "machine", "machine": NEW_MACHINE}],
    )  # fmt: skip
    return stage


NEW_MACHINE = {
    "model": "Orrel 18 D2", "serial": "EF1-RENEWED", "drive": "direct",
    "motor_type": "three_phase", "volts": "208-230/460", "full_load_amps": "3.2-3.1/1.55",
    "power_hp": 1.0, "speed_rpm": 1740.0, "hertz": 60.0, "service_factor": 1.15,
    "insulation_class": "F", "bearings": "sealed", "wheel": "18 in backward inclined",
    "mounting": "rigid",
}  # fmt: skip
