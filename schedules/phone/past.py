"""What was found and done on a fan's last visits, each in a few lines."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from operator import itemgetter
from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from config.questions import Row
from fleet.quantities import MEASURED, QUANTITIES
from schedules.fan_page.typed import is_read, read_with, reading_of
from schedules.phone.gathering import FanPack, last_visits
from schedules.phone.own import fits_a_phone
from schedules.round_sheet.past import Look
from schedules.round_sheet.past_words import found_text
from schedules.round_sheet.records import Record, check_of
from schedules.wording import short_day
from visits.limits.case import subject_of
from visits.models import Visit
from visits.wording import (
    EVENT_KINDS,
    STAGES,
    VERDICTS,
    VISIT_KINDS,
    WORK,
    subject_words,
    words,
)
from visits.wording.names import upper_first

SHOWN_EVENTS = 5
LEADING = tuple(q.name for q in MEASURED if q.rule and read_with(q.name)[0] == q.name)
"""The first of readings that are told together."""


def visit_entries(pack: FanPack) -> list[dict[str, Any]]:
    """The last visits on record, newest first; ``sent`` where it can be put right on a phone."""
    return [_entry(pack, pack.visits[visit_id]) for visit_id in last_visits(pack.record)]


def happenings(pack: FanPack) -> Iterator[dict[str, str]]:
    """What is on record as happened since the last visit, the latest first; of a fan never visited
    the latest few."""
    visits = last_visits(pack.record)
    since = pack.visits[visits[0]].local_on if visits else date.min
    told = [row for row in pack.record.events if row["ended_on"] >= since]
    for row in sorted(told, key=itemgetter("ended_on"), reverse=True)[:SHOWN_EVENTS]:
        kind = upper_first(words(EVENT_KINDS, row["kind"]))
        yield {
            "id": str(row["id"]),
            "words": f"{kind}, {short_day(row['ended_on'], pack.record.day)}",
        }


def _entry(pack: FanPack, visit: Visit) -> dict[str, Any]:
    who = visit.technician.called if visit.technician else visit.technician_name
    sent = pack.own.get(visit.pk)
    told = {"sent": sent} if sent and fits_a_phone(sent, pack.file.fan) else {}
    return told | {
        "id": str(visit.pk),
        "on": visit.local_on.isoformat(),
        "kind": upper_first(words(VISIT_KINDS, visit.kind)),
        "by": who,
        "lines": list(_lines(pack.record, visit.pk)),
    }


def _lines(record: Record, visit_id: UUID) -> Iterator[str]:
    for row in _of(record.checks, visit_id):
        yield from _check(row)
    for row in _of(record.notes, visit_id):
        what = subject_words(row["subject"] or row["item"])
        told = f"{upper_first(what)}, {words(VERDICTS, row['verdict'])}"
        yield _sentence(told, row["note"])
    for row in _of(record.actions, visit_id):
        item, work = upper_first(subject_words(row["item"])), words(WORK, row["kind"])
        yield _sentence(_("{item} {work}").format(item=item, work=work))


def _of(rows: Any, visit_id: UUID) -> Iterator[Row]:
    return (row for row in rows if row["visit_id"] == visit_id)


def _check(row: Row) -> Iterator[str]:
    """What it came to, then what was measured."""
    look = Look(
        row["visit__local_on"], row["visit__kind"], is_complete=False, verdicts=row["judged"]
    )
    stage = upper_first(words(STAGES, row["stage"]))
    yield _("{stage}: {found}.").format(stage=stage, found=found_text(look))
    check = check_of(row)
    read = [name for name in LEADING if is_read(check, name)]
    if read:
        yield _sentence("; ".join(f"{_name(name)} {reading_of(check, name)}" for name in read))


def _name(name: str) -> str:
    """What readings that are told together are called."""
    quantity = QUANTITIES[name]
    match quantity.rule:
        case "vibration":
            return subject_words(name.removesuffix("_mm_s"))
        case "grease":
            return subject_words(name.removesuffix("_low_um"))
        case _:
            return subject_words(subject_of(quantity))


def _sentence(told: str, note: str = "") -> str:
    parts = "; ".join(part.strip().rstrip(".") for part in (told, note) if part.strip())
    return f"{upper_first(parts)}."
