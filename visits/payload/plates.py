"""Reads nameplates: that of a new machine, or one read again on the machine in place."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite
from typing import Any

from django.utils.translation import gettext as _

from fleet.services.plate_readings import COLUMNS
from visits.payload.entries import PlateEntry
from visits.payload.fields import Fields, escaped

MOST_PARTS = 50


def read_plate_entry(fields: Fields) -> PlateEntry:
    """What was read on the plate of one fan; a key that no plate has is complained of."""
    pointer, tag = fields.pointer, fields.text("fan", must=True, longest=40)
    inner = fields.inner("machine")
    if inner is None:
        fields.complain(
            "machine", _("what was read on the plate is missing"), None,
            _('write {"volts": "208-230/460", ...}'),
        )  # fmt: skip
        return PlateEntry(pointer=pointer, fan=tag, machine={})
    return PlateEntry(
        pointer=pointer, fan=tag, machine=plate_fields(inner, (*COLUMNS, "unreadable"))
    )


def refuse_repeated_plates(fields: Fields, plates: Sequence[PlateEntry]) -> None:
    """Complain of a fan whose plate stands there twice."""
    seen: set[str] = set()
    for plate in plates:
        tag = plate.fan.casefold()
        if tag and tag in seen:
            where = plate.pointer.removeprefix(f"{fields.pointer}/")
            remedy = _("put all that was read of it into one")
            fields.complain(where, _("a second plate of this fan"), plate.fan, remedy)
        seen.add(tag)


def plate_fields(plate: Fields, known: Sequence[str]) -> dict[str, Any]:
    """The known fields as given; the register itself says what they may hold."""
    for key in plate.names():
        if key not in known:
            plate.refuse_word(escaped(key), _("no part of a nameplate"), key, known)
    told = {key: _part(plate, key) for key in plate.names() if key in known}
    return {key: value for key, value in told.items() if value is not None}


def _part(plate: Fields, key: str) -> Any:
    """A value, or the names of parts that nobody could read."""
    value = plate.raw(key)
    if isinstance(value, str):
        return plate.text(key) or None
    if isinstance(value, list) and key == "unreadable":
        return list(plate.words(key, MOST_PARTS))
    if isinstance(value, (list, dict)) or (isinstance(value, float) and not isfinite(value)):
        problem = _("%(key)s is neither a text nor a number") % {"key": key}
        plate.complain(key, problem, value, _("write it plainly"))
        return None
    return value
