"""A nameplate read on a visit, in words: what went into the register, what it has otherwise."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils.translation import gettext as _

from fleet.imports.values import value_text
from fleet.models import Fan, Machine
from schedules.fan_page.gathering import FanFile, is_superseded
from schedules.fan_page.plate import PLATE_WORDS
from schedules.wording import day_text
from visits.models import PlateReading
from visits.wording import words
from visits.wording.names import upper_first

READ_AT_ONCE = 50


def plate_read_texts(row: PlateReading) -> list[str]:
    """What became of it, a sentence each."""
    return list(_texts(row))


def _texts(row: PlateReading) -> Iterator[str]:
    if row.machine_id is None:
        yield _("No machine is on record for that day: the plate as read is kept with the visit.")
        return
    if row.filled:
        yield _("Now in the register: {parts}.").format(parts=_parts(row.filled))
    if row.another:
        yield _(
            "The serial number read is not the one on record: it may be another machine, so "
            "nothing was put into the register. The office decides."
        )
    for name, (old, read) in _in_order(row.differs):
        yield _differs(name, old, read)
    for name, (read, _why) in _in_order(row.refused):
        yield _("{field} {read} was not taken: check it against the rest of the plate.").format(
            field=_field(name), read=read
        )
    if not (row.filled or row.differs or row.refused):
        yield _("The plate says what the register says.")


def _differs(name: str, old: str, read: str) -> str:
    if not old:
        return _("{field}: {read} was read.").format(field=_field(name), read=read)
    return _(
        "{field}: the register says {old}, {read} was read. The register stays until the office "
        "has decided which stands."
    ).format(field=_field(name), old=old, read=read)


def open_differences(file: FanFile) -> list[str]:
    """What the last reading of the machine in place says otherwise than the register does now."""
    machine = file.machine
    readings = [
        (file.visits[visit_id].local_on, row)
        for visit_id, rows in file.parts[PlateReading].items()
        if not is_superseded(file.visits[visit_id])
        for row in rows
        if machine is not None and row.machine_id == machine.pk
    ]
    if machine is None or not readings:
        return []
    read_on, last = max(readings, key=lambda told: (told[0], told[1].pk))
    return _still_other(machine, last, read_on)


@dataclass(frozen=True)
class ReadOtherwise:
    """A fan whose plate was read otherwise than the register has it, and what of it."""

    reading: int
    fan: Fan
    texts: list[str]


def read_otherwise(after: int = 0) -> Iterator[ReadOtherwise]:
    """Fans about whose machine in place the office has yet to decide, the first recorded first.

    They begin behind the reading ``after`` and are read as far as somebody goes on asking.
    """
    differing = PlateReading.objects.exclude(differs={}, refused={}).order_by("pk")
    keys = differing.values_list("pk", flat=True)
    # The piece comes before what is asked of it: PostgreSQL joins all first, and cuts then.
    while piece := list(keys.filter(pk__gt=after)[:READ_AT_ONCE]):
        for row in _last_readings().filter(pk__in=piece).order_by("pk"):
            if row.machine and (texts := _still_other(row.machine, row, row.visit.local_on)):
                yield ReadOtherwise(row.pk, row.fan, texts)
        after = piece[-1]


def _last_readings() -> QuerySet[PlateReading]:
    """The last one of each machine in place."""
    standing = PlateReading.objects.filter(
        visit__superseded_by__isnull=True, machine__removed_on__isnull=True
    )
    later = standing.filter(
        Q(visit__local_on__gt=OuterRef("visit__local_on"))
        | Q(visit__local_on=OuterRef("visit__local_on"), pk__gt=OuterRef("pk")),
        machine=OuterRef("machine"),
    )
    rows = standing.exclude(machine=None).filter(~Exists(later))
    return rows.select_related("machine", "fan__site", "visit")


def _still_other(machine: Machine, row: PlateReading, read_on: date) -> list[str]:
    """What a reading says otherwise, as long as the register is as it was then."""
    still = {
        name: (old, read)
        for name, (old, read) in {**row.differs, **_refused(machine, row)}.items()
        if value_text(getattr(machine, name)) == old
    }
    on = day_text(read_on)
    return [
        _("{field}: {old} on record, {read} read on {day}.").format(
            field=_field(name), old=old or _("nothing"), read=read, day=on
        )
        for name, (old, read) in _in_order(still)
    ]


def _refused(machine: Machine, row: PlateReading) -> dict[str, tuple[str, str]]:
    """What could not be so, beside what is on record."""
    return {
        name: (value_text(getattr(machine, name)), read)
        for name, (read, _why) in row.refused.items()
    }


def _parts(values: Mapping[str, str]) -> str:
    return "; ".join(f"{_field(name)} {value}" for name, value in _in_order(values))


def _in_order(told: Mapping[str, Any]) -> list[tuple[str, Any]]:
    """As on a plate, whatever order a database keeps keys in."""
    known = [name for name in PLATE_WORDS if name in told]
    return [(name, told[name]) for name in (*known, *sorted(told.keys() - known))]


def _field(name: str) -> str:
    return upper_first(words(PLATE_WORDS, name))
