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
from fleet.imports.values import name_key, plate_values
from fleet.models import Fan, Machine
from fleet.quantities import OTHER_MOTOR, SPLIT_CAPACITOR, THREE_PHASE
from fleet.ratings import PlateError, parse_ratings

THREE_PHASE_ONLY_V = 300.0
"""Above this a building's small motors are three-phase; common practice, no source."""


def plan_machine(
    plan: Plan, fan: Fan, machine: Machine | None, draft: FanDraft, complaints: Complaints
) -> None:
    """Add or compare what the row says of the machine.

    A later installation day together with another serial number is a replacement.
    """
    if machine is None:
        values = plate_values(_with_kind(draft, complaints), [])
        plan.add(Machine(fan=fan, **values))
        return
    values = plate_values(draft.machine, machine.unreadable)
    if _moved(machine, values) > 0:
        _replace(plan, fan, machine, draft, values)
    else:
        what = f"{fan.site.name} {fan.tag}"
        plan.compare(machine, values, (draft.row, "machine", what))


def complain_of_gone_machines(drafts: Drafts, register: Register, reader: RowReader) -> None:
    """A row may describe a machine that another one has since replaced; that is no present fact."""
    for place, draft in drafts.fans.items():
        fan = register.fans.get(place)
        machine = register.machines.get(fan.pk) if fan else None
        if machine and _moved(machine, draft.machine) < 0:
            reader.complaints.add(
                "machine_gone", draft.row, reader.heading_text(("machine", "installed_on")),
                draft.machine["installed_on"].isoformat(), serial=machine.serial,
                day=str(machine.installed_on),
            )  # fmt: skip


def _moved(machine: Machine, values: dict[str, Any]) -> int:
    """1 for another machine installed later, -1 for another one installed earlier, else 0."""
    day, serial = values.get("installed_on"), values.get("serial")
    if not isinstance(serial, str) or not isinstance(day, date) or machine.installed_on is None:
        return 0
    if not machine.serial or name_key(serial) == name_key(machine.serial):
        return 0
    return (day > machine.installed_on) - (day < machine.installed_on)


def _replace(
    plan: Plan, fan: Fan, machine: Machine, draft: FanDraft, values: dict[str, Any]
) -> None:
    old = f"{machine.serial} from {machine.installed_on}"
    new = Machine(fan=fan, first_here=False, **values)
    what = f"{fan.site.name} {fan.tag}"
    plan.change(machine, {"removed_on": new.installed_on})
    plan.tell(draft.row, what, ("machine", "serial"), old, f"{new.serial} from {new.installed_on}")
    plan.add(new)


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
