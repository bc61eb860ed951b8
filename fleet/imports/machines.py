"""The machine a row describes: new, the one on record corrected, or one that replaced it."""

from __future__ import annotations

from datetime import date
from typing import Any

from fleet.imports.columns import BY_KEY
from fleet.imports.complaints import Complaints
from fleet.imports.drafts import Drafts, FanDraft
from fleet.imports.plan import Plan
from fleet.imports.register import Register
from fleet.imports.rows import RowReader
from fleet.imports.values import Values, name_key, plate_values, same_value
from fleet.models import Fan, Machine
from fleet.quantities import OTHER_MOTOR, SPLIT_CAPACITOR, THREE_PHASE
from fleet.ratings import PlateError, parse_ratings

INSTALLED = ("machine", "installed_on")
THREE_PHASE_ONLY_V = 300.0
"""Above this a building's small motors are three-phase; common practice, no source."""


def plan_machine(
    plan: Plan, fan: Fan, machine: Machine | None, draft: FanDraft, complaints: Complaints
) -> Machine:
    """Add or compare what the row says of the machine; the one that is then in place.

    A later installation day together with another serial number is a replacement.
    """
    if machine is None:
        new = Machine(fan=fan, **plate_values(_with_kind(draft, complaints), []))
        plan.add(new)
        return new
    values = plate_values(draft.machine, machine.unreadable)
    if _is_replacement(machine, values):
        return _replace(plan, fan, machine, draft, values)
    plan.compare(machine, values, (draft.row, "machine", f"{fan.site.name} {fan.tag}"))
    return machine


def set_gone_machines_apart(drafts: Drafts, register: Register, reader: RowReader) -> None:
    """A row may describe a machine that another one has since replaced; that is no present fact.

    Where it says what is on record of that machine it says nothing new, else it is complained of.
    """
    for place, draft in drafts.fans.items():
        fan = register.fans.get(place)
        machine = register.machines.get(fan.pk) if fan else None
        if machine is None:
            continue
        gone = register.gone.get(machine.fan_id, [])
        as_said = next((old for old in gone if _is_as_said(old, draft.machine)), None)
        if not _is_of_another(machine, gone, draft.machine, as_said):
            continue
        heading, day = reader.heading_text(INSTALLED), draft.machine.get("installed_on")
        seen = day.isoformat() if day else ""
        if as_said:
            draft.machine = {}
            reader.complaints.note(
                "replaced_since", draft.row, heading, seen, day=str(as_said.removed_on)
            )
            continue
        reader.complaints.add(
            "machine_gone", draft.row, heading, seen, day=str(machine.installed_on),
            machine=f"machine {machine.serial}" if machine.serial else "another machine",
        )  # fmt: skip


def _is_of_another(
    machine: Machine, gone: list[Machine], said: Values, as_said: Machine | None
) -> bool:
    """Whether a row is about a machine that stood there before ``machine``.

    The serial number tells, else the installation day, else the plate as a whole.
    """
    serial, day = said.get("serial"), said.get("installed_on")
    before = bool(day and machine.installed_on and day < machine.installed_on)
    if isinstance(serial, str):
        if _is_serial(machine, serial):
            return False
        if any(_is_serial(old, serial) for old in gone) or (machine.serial and before):
            return True
    if not gone:
        return False
    if day and machine.installed_on:
        return before
    return as_said is not None and not _is_as_said(machine, said)


def _is_serial(machine: Machine, serial: str) -> bool:
    return name_key(machine.serial) == name_key(serial)


def _is_as_said(machine: Machine, said: Values) -> bool:
    """Whether a row says of a machine only what is on record of it."""
    values = plate_values(said, machine.unreadable)
    return all(
        same_value(("machine", name), getattr(machine, name), value)
        for name, value in values.items()
    )


def _is_replacement(machine: Machine, values: Values) -> bool:
    """Whether this is another machine, installed later."""
    day, serial = values.get("installed_on"), values.get("serial")
    if not isinstance(serial, str) or not isinstance(day, date) or machine.installed_on is None:
        return False
    return bool(machine.serial and not _is_serial(machine, serial) and day > machine.installed_on)


def _replace(
    plan: Plan, fan: Fan, machine: Machine, draft: FanDraft, values: dict[str, Any]
) -> Machine:
    old = f"{machine.serial} from {machine.installed_on}"
    new = Machine(fan=fan, first_here=False, **values)
    what = f"{fan.site.name} {fan.tag}"
    plan.change(machine, {"removed_on": new.installed_on})
    plan.tell(draft.row, what, ("machine", "serial"), old, f"{new.serial} from {new.installed_on}")
    plan.add(new)
    return new


def _with_kind(draft: FanDraft, complaints: Complaints) -> dict[str, Any]:
    """What is said, with drive and motor type inferred where the row leaves them out."""
    said = dict(draft.machine)
    if "drive" not in said:
        said["drive"] = "belt" if said.get("belt") else "direct"
        _note(complaints, draft, "drive", said["drive"])
    if "motor_type" not in said:
        said["motor_type"] = _likely_motor(draft)
        _note(complaints, draft, "motor_type", said["motor_type"])
    return said


def _note(complaints: Complaints, draft: FanDraft, field: str, code: str) -> None:
    heading = BY_KEY["machine", field].heading
    complaints.note("assumed", draft.row, heading, value=code.replace("_", " "))


def _likely_motor(draft: FanDraft) -> str:
    phases = draft.machine.get("phases")
    if phases == 3:
        return THREE_PHASE
    if draft.machine.get("capacitor_uf"):
        return SPLIT_CAPACITOR
    if phases == 1:
        return OTHER_MOTOR
    if draft.feed.get("poles") == 3 or _highest_volts(draft.machine.get("volts")):
        return THREE_PHASE
    return OTHER_MOTOR


def _highest_volts(printed: Any) -> bool:
    """Whether the plate shows volts that only three-phase motors have."""
    try:
        ratings = parse_ratings(printed) if isinstance(printed, str) else ()
    except PlateError:
        return False
    ends = (rating.high_v for rating in ratings)
    return any(isinstance(end, float) and end > THREE_PHASE_ONLY_V for end in ends)
