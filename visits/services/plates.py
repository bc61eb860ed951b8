"""What a visit tells the register of machines: one replaced, a nameplate read again."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from django.utils.translation import gettext as _

from fleet.models import Fan
from fleet.services.errors import RegisterError
from fleet.services.machines import replace_machine
from fleet.services.plate_readings import read_plate
from visits.models import PlateReading, Visit
from visits.payload.entries import ActionEntry, PlateEntry
from visits.payload.visit import NO_DAY
from visits.services.ground import Ground
from visits.services.register import FanFacts, reload_machines
from visits.services.swaps import came_before_swap


def swap_machine(
    ground: Ground, fan: FanFacts, entry: ActionEntry, on: date, swapping: set[int]
) -> None:
    """Tell the register of the new machine; its drive and motor are as before unless said."""
    if on == NO_DAY:
        return  # of a day that could not be read nothing can be told to the register
    if fan.id in swapping:
        problem, remedy = _("a second machine for this fan"), _("tell of the one that stays")
        ground.complain(f"{entry.pointer}/machine", problem, entry.fan, remedy)
        return
    swapping.add(fan.id)
    plate = dict(entry.machine or {})
    before = fan.machine_on(on, before_swap=True)
    known = any(machine.installed_on == on for machine in fan.machines.values())
    if before and not known:
        plate = {"drive": before.plate.drive, "motor_type": before.plate.motor_type, **plate}
    try:
        replace_machine(
            fan=Fan.objects.get(pk=fan.id), installed_on=on, plate=plate,
            by=ground.by, now=ground.now,
        )  # fmt: skip
    except (RegisterError, TypeError, ValueError) as error:
        _refuse(ground, entry, error)
        return
    ground.swapped.add(fan.id)
    reload_machines(fan)


def _refuse(ground: Ground, entry: ActionEntry | PlateEntry, error: Exception) -> None:
    remedy = _("correct the nameplate")
    ground.complain(f"{entry.pointer}/machine", str(error), None, remedy)


def lay_plate(
    ground: Ground, visit: Visit, fan: FanFacts, entry: PlateEntry, *, is_new: bool
) -> None:
    """Tell the register what was read before anything is judged by it; note what became of it."""
    if is_new and not entry.machine:
        return
    if is_new:
        remedy = _("give the new machine's plate with its replacement")
        ground.complain(entry.pointer, _("this machine was replaced"), entry.fan, remedy)
        return
    try:
        told = read_plate(
            fan=Fan.objects.get(pk=fan.id),
            on=visit.local_on,
            plate=entry.machine,
            ours=_filled_before(visit, fan),
            by=ground.by,
            now=ground.now,
            why=f"plate read on visit {visit.pk}",
            before_swap=came_before_swap(visit, fan),
        )
    except (RegisterError, TypeError, ValueError) as error:
        _refuse(ground, entry, error)
        return
    if entry.machine:
        ground.rows.plates.append(
            PlateReading(
                visit=visit,
                fan_id=fan.id,
                machine_id=told.machine.pk if told.machine else None,
                read=dict(entry.machine),
                filled=told.filled,
                differs=told.differs,
                refused=told.refused,
                another=told.another,
            )
        )
    if told.changed:
        ground.swapped.add(fan.id)
        reload_machines(fan)


def plates_left_out(visit: Visit, plates: Sequence[PlateEntry]) -> Iterator[PlateEntry]:
    """An empty plate for each fan of which a correction repeats none that filled the register."""
    if visit.supersedes_id is None:
        return
    told = {plate.fan.casefold() for plate in plates}
    rows = PlateReading.objects.filter(visit=visit.supersedes_id).exclude(filled={})
    for tag in rows.values_list("fan__tag", flat=True):
        if tag.casefold() not in told:
            yield PlateEntry(pointer="/plates", fan=tag, machine={})


def _filled_before(visit: Visit, fan: FanFacts) -> dict[str, str]:
    """What the visit that this one corrects had filled in."""
    if visit.supersedes_id is None:
        return {}
    rows = PlateReading.objects.filter(visit=visit.supersedes_id, fan=fan.id)
    return {name: value for row in rows for name, value in row.filled.items()}
