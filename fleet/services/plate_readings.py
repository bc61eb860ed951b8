"""A nameplate read again on the roof: fills what the register lacks, overwrites nothing."""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from django.db import transaction

from fleet.imports.cells import Reader
from fleet.imports.columns import MACHINE_COLUMNS
from fleet.imports.complaints import CellError, Complaint
from fleet.imports.values import name_key, same_value, value_text
from fleet.models import Fan, Machine, Person
from fleet.ratings import Unreadable, completed
from fleet.services.errors import RegisterError
from fleet.services.plates import READABLE, refuse_impossible_plate
from fleet.services.rows import hold, keep
from fleet.wording import complaint_words

COLUMNS = {column.field: column for column in MACHINE_COLUMNS if column.field in READABLE}
RATINGS = frozenset(name for name, column in COLUMNS.items() if column.kind == "rating")
ALWAYS_SAID = ("drive", "shaft")
"""Have a value whether or not anybody read one: never filled, but on a machine entered here."""


@dataclass
class PlateRead:
    """What became of a reading, by field of ``Machine``, values as texts.

    ``filled`` stands in the register by this reading or by the one it corrects.  ``differs`` is
    what stands there and what was read, and ``refused`` what was read and why it cannot be so:
    neither changed anything.  ``machine`` is None where nothing is known to have stood there that
    day.  ``another`` says that the serial number is another machine's, so that nothing was filled.
    """

    machine: Machine | None = None
    filled: dict[str, str] = field(default_factory=dict)
    differs: dict[str, tuple[str, str]] = field(default_factory=dict)
    refused: dict[str, tuple[str, str]] = field(default_factory=dict)
    another: bool = False
    changed: bool = False


@transaction.atomic
def read_plate(
    *,
    fan: Fan,
    on: date,
    plate: Mapping[str, Any],
    ours: Mapping[str, str],
    by: Person | None,
    now: datetime,
    why: str,
    before_swap: bool = False,
) -> PlateRead:
    """Take what was read on the plate of the machine that stood there on ``on`` [local day].

    ``plate`` holds fields as typed or printed, and ``unreadable``, the names of those that nobody
    could read.  ``ours`` is what the record that this one corrects had filled in: that may be put
    right, and what ``plate`` says no more is taken out.  A position without a machine gets its
    first one.  ``why`` goes into its history.  ``before_swap`` says that a machine put in that day
    came only later.
    """
    fan = hold(fan)  # rows that another sender has not stored yet cannot be held
    machines = list(fan.machines.select_for_update(no_key=True))
    machine = next((each for each in machines if _stood(each, on, before_swap)), None)
    is_new = not machines
    if machine is None and not is_new:
        return PlateRead()
    machine = machine or Machine(fan=fan)
    told = PlateRead(machine)
    values, unreadable = _typed(plate, told)
    fill = _to_fill(machine, values, ours, told, is_new=is_new)
    if told.another:
        return told
    before = list(machine.unreadable)
    _fill(machine, fill, told, now)
    _mark(machine, unreadable)
    told.changed = bool(fill) or machine.unreadable != before
    if told.changed:
        keep(machine, by, now, why)
    elif is_new:
        told.machine = None
    return told


def _stood(machine: Machine, on: date, before_swap: bool) -> bool:
    since, until = machine.installed_on or date.min, machine.removed_on or date.max
    return since < on <= until if before_swap else since <= on < until


def _typed(plate: Mapping[str, Any], told: PlateRead) -> tuple[dict[str, Any], set[str]]:
    """What each field says in the register's terms, and which nobody could read."""
    unreadable = set(plate.get("unreadable") or ()) & set(READABLE)
    values = {}
    for name, said in plate.items():
        if name not in COLUMNS:
            continue  # complained of where the record is read
        try:
            value = Reader(COLUMNS[name], COLUMNS[name].unit).read(_text(said))
        except CellError as error:
            why = "; ".join(complaint_words(Complaint(error.code, args=error.told)))
            told.refused[name] = _text(said), why
            continue
        if isinstance(value, Unreadable):
            unreadable.add(name)
        elif value is not None:
            values[name] = value
    return values, unreadable - values.keys()


def _text(said: Any) -> str:
    return said if isinstance(said, str) else value_text(said)


def _to_fill(
    machine: Machine, values: Mapping[str, Any], ours: Mapping[str, str], told: PlateRead, *,
    is_new: bool,
) -> dict[str, Any]:  # fmt: skip
    """What of these values the register lacks; what it has otherwise is noted."""
    fill: dict[str, Any] = {}
    for name, value in values.items():
        old = getattr(machine, name)
        if name in RATINGS and old and (whole := completed(old, value)):
            value = whole
        is_ours = name in ours and value_text(old) == ours[name]
        if same_value(("machine", name), old, value):
            told.filled |= {name: ours[name]} if is_ours else {}
            continue
        is_empty = old in (None, "") or (is_new and name in ALWAYS_SAID)
        if is_empty or is_ours or (name in RATINGS and "?" in old and completed(old, value)):
            fill[name] = value
        else:
            told.differs[name] = value_text(old), value_text(value)
    told.another = "serial" in told.differs and not _same_serial(told.differs["serial"])
    if told.another:
        told.differs |= {name: ("", value_text(value)) for name, value in fill.items()}
    return fill | _taken_out(machine, ours.keys() - values.keys(), ours)


def _taken_out(machine: Machine, names: Set[str], ours: Mapping[str, str]) -> dict[str, Any]:
    """Empty again what only the record that this one corrects had said."""
    blank = Machine()
    return {
        name: getattr(blank, name)
        for name in names - set(ALWAYS_SAID)
        if value_text(getattr(machine, name)) == ours[name]
    }


def _same_serial(serials: tuple[str, str]) -> bool:
    old, new = map(name_key, serials)
    return old == new


def _fill(machine: Machine, fill: dict[str, Any], told: PlateRead, now: datetime) -> None:
    """Set what fits together and with what is on record; the rest is refused, field by field."""
    old = {name: getattr(machine, name) for name in fill}
    before, known = list(machine.unreadable), _faults(machine, now)
    while fill:
        for name, value in old.items():
            setattr(machine, name, fill.get(name, value))
        machine.unreadable = [name for name in before if name not in fill]
        faults = {name: why for name, why in _faults(machine, now).items() if name not in known}
        if not faults:
            break
        for name in set(faults) & set(fill) or set(fill):
            why = faults.get(name) or "; ".join(faults.values())
            told.refused[name] = value_text(fill.pop(name)), why
    else:
        for name, value in old.items():
            setattr(machine, name, value)
        machine.unreadable = before
    told.filled |= {
        name: value_text(value) for name, value in fill.items() if value not in (None, "")
    }


def _faults(machine: Machine, now: datetime) -> Mapping[str, str]:
    """What of the plate cannot be so; what was so before is nothing that this reading brought."""
    try:
        refuse_impossible_plate(machine, now)
    except RegisterError as error:
        return error.faults
    return {}


def _mark(machine: Machine, unreadable: set[str]) -> None:
    """Name what nobody could read and the register does not know either."""
    known = {name for name in unreadable if getattr(machine, name) not in (None, "")}
    new = sorted(unreadable - known - set(machine.unreadable))
    machine.unreadable = [*machine.unreadable, *new]
