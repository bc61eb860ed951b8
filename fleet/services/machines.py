"""What is installed at a fan's position: a machine replaced, or its nameplate corrected."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from fleet.models import Fan, Machine, Person
from fleet.services.errors import refuse
from fleet.services.plates import READABLE, refuse_impossible_plate
from fleet.services.rows import fill, hold, keep
from fleet.writing import save_told

_NOT_PLATE = {"id", "fan", "installed_on", "removed_on", "first_here"}
PLATE_FIELDS = frozenset(f.name for f in Machine._meta.concrete_fields) - _NOT_PLATE
"""What may be said of a machine beside when it was there."""


@transaction.atomic
def replace_machine(
    *,
    fan: Fan,
    installed_on: date | None,
    plate: Mapping[str, Any],
    by: Person | None,
    now: datetime,
) -> Machine:
    """Record that another machine stands at this position from ``installed_on`` [local day].

    None says since before anybody knows, which only a position's first machine can be.
    ``plate`` holds fields of ``Machine``.  A replacement further back than the machine now in place
    is fitted in before it, and the same day told again corrects that day's machine.  A part named
    in ``unreadable`` has no value.  Raises RegisterError for unknown fields and values the plate
    cannot have.
    """
    # Held at the fan: rows that another sender has not stored yet cannot be.
    fan = hold(fan)
    machines = list(fan.machines.select_for_update(no_key=True))
    for machine in machines:
        if machine.installed_on == installed_on:
            return _correct(machine, plate, by, now)
    day = installed_on or date.min
    before = [m for m in machines if (m.installed_on or date.min) < day]
    after = [m for m in machines if (m.installed_on or date.min) > day]
    new = Machine(
        fan=fan,
        installed_on=installed_on,
        removed_on=after[0].installed_on if after else None,
        first_here=not before,
    )
    _read(new, plate)
    refuse_impossible_plate(new, now)
    if before and (before[-1].removed_on or date.max) > day:
        before[-1].removed_on = installed_on
        save_told(before[-1], by, now, f"replaced on {installed_on}")
    keep(new, by, now, "installed")
    return new


@transaction.atomic
def correct_plate(
    *, machine: Machine, plate: Mapping[str, Any], by: Person | None, now: datetime
) -> Machine:
    """Correct what the nameplate of ``machine`` says; the old reading stays in its history.

    A field given a value is readable from now on.  Raises RegisterError as ``replace_machine``.
    """
    return _correct(hold(machine), plate, by, now)


def _correct(
    machine: Machine, plate: Mapping[str, Any], by: Person | None, now: datetime
) -> Machine:
    before = {name: getattr(machine, name) for name in PLATE_FIELDS}
    _read(machine, plate)
    if before == {name: getattr(machine, name) for name in PLATE_FIELDS}:
        return machine
    refuse_impossible_plate(machine, now)
    keep(machine, by, now, "plate corrected")
    return machine


def _read(machine: Machine, plate: Mapping[str, Any]) -> None:
    """Set what was read; a part is readable or not, whichever was said last."""
    fill(machine, plate, PLATE_FIELDS, _("a nameplate"))
    if "unreadable" not in plate:
        machine.unreadable = [name for name in machine.unreadable if name not in plate]
        return
    empty = Machine()
    for name in set(READABLE).intersection(machine.unreadable):
        if plate.get(name) not in (None, "", getattr(empty, name)):
            said = _("read as %(value)s and named unreadable; say one of them")
            raise refuse({name: said % {"value": plate[name]}})
        setattr(machine, name, getattr(empty, name))
