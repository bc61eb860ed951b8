"""What a nameplate and a feed cannot say: what an imported file is refused for, refused here."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _

from fleet.imports.columns import MACHINE_COLUMNS
from fleet.imports.complaints import Complaint
from fleet.imports.contradictions import contradictions
from fleet.models import Feed, Machine
from fleet.ratings import PlateError, parse_ratings
from fleet.services.errors import refuse
from fleet.services.rows import check
from fleet.wording import complaint_words

READABLE = tuple(column.field for column in MACHINE_COLUMNS if column.may_be_unreadable)
"""What stands on a nameplate, and so may be unreadable there."""


def refuse_impossible_plate(machine: Machine, now: datetime) -> None:
    """Raise RegisterError where parts of the plate contradict each other or are no rating."""
    check(machine, alone=True)
    faults = dict(_contradicted("machine", vars(machine), now))
    faults |= dict(_misread(machine))
    for field in ("volts", "full_load_amps"):
        faults |= dict(_no_rating(field, getattr(machine, field)))
    if faults:
        raise refuse(faults)


def refuse_impossible_feed(feed: Feed, machine: Machine | None, now: datetime) -> None:
    """Raise RegisterError where the feed contradicts itself or the plate of ``machine``."""
    check(feed, alone=True)
    faults = dict(_contradicted("feed", vars(feed), now, vars(machine) if machine else {}))
    faults |= dict(_no_rating("connected_volts", feed.connected_volts))
    if faults:
        raise refuse(faults)


def _contradicted(
    part: str, values: Mapping[str, Any], now: datetime, machine: Mapping[str, Any] | None = None
) -> Iterator[tuple[str, str]]:
    parts = {"machine": machine or {}, part: values}

    def said(*keys: tuple[str, str]) -> list[Any]:
        told = [parts.get(of, {}).get(field) for of, field in keys]
        return [None if value == "" else value for value in told]

    for (of, field), code, args in contradictions(said, now):
        if of == part:
            yield field, "; ".join(complaint_words(Complaint(code, args=args)))


def _misread(machine: Machine) -> Iterator[tuple[str, str]]:
    strange = sorted(set(machine.unreadable) - set(READABLE))
    if strange:
        known = ", ".join(READABLE)
        told = {"names": ", ".join(strange), "known": known}
        yield "unreadable", _("no parts of a nameplate: %(names)s; it has %(known)s") % told


def _no_rating(field: str, text: str) -> Iterator[tuple[str, str]]:
    volts, amps = ("", text) if field == "full_load_amps" else (text, "")
    try:
        parse_ratings(volts, amps)
    except PlateError as error:
        yield field, "; ".join(error.told_by(_))
