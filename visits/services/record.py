"""What people do with the record: log a visit or an event, answer, close a finding.

Each takes a payload as ``visits.payload`` documents it, or its parts, and stores it once: the same
payload again gives back the stored row, another one under its id is refused.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, TypeVar, cast

from django.utils.translation import gettext as _

from fleet.models import Person
from visits.limits import DEFAULT_LIMITS, Limits
from visits.models import Closing, Decision, Event, Visit
from visits.payload import Entry, PayloadError, read_record
from visits.payload.complaints import Complaints, complaint
from visits.services.batch import Ahead, Outcome, record_entries
from visits.services.cautions import Caution, cautions_of
from visits.services.errors import PayloadConflictError
from visits.services.rows import NewCheck, Rows

Row = TypeVar("Row", Visit, Event, Decision, Closing)


@dataclass(frozen=True, slots=True)
class RecordedVisit:
    """A visit as stored; ``created`` is false where it was there already.

    ``fan_ids`` are the fans whose dates may have changed.  ``checks`` come with their judgements,
    ``cautions`` are what somebody should be told about how the visit was made; of a visit
    that was there already ``visits.services.recall_visit`` tells both.  ``superseded`` tells that a
    correction has replaced it since.  ``unwritten`` are its rows where the caller is to write them.
    """

    visit: Visit
    created: bool
    fan_ids: tuple[int, ...] = ()
    checks: tuple[NewCheck, ...] = ()
    cautions: tuple[Caution, ...] = ()
    superseded: bool = False
    unwritten: Rows | None = None


@dataclass(frozen=True, slots=True)
class Recorded:
    """An event, decision or closing as stored, and the fans whose dates may have changed."""

    row: Any
    created: bool
    fan_ids: tuple[int, ...] = ()


def record_visit(
    *,
    payload: Mapping[str, Any],
    by: Person | None,
    now: datetime,
    here: bool = True,
    limits: Limits = DEFAULT_LIMITS,
    ahead: Ahead | None = None,
) -> RecordedVisit:
    """Store one visit, a correction included, with its checks judged.

    ``by`` sees only the sites that are theirs to see.  ``ahead`` is as for ``record_entries``.
    Raises PayloadError with every complaint, PayloadConflictError where the id belongs to another
    record.
    """
    outcome, row, created = _record(payload, "visit", by, now, here, limits=limits, ahead=ahead)
    visit, checks = cast(Visit, row), tuple(outcome.checks)
    if not created:
        return RecordedVisit(visit, created, outcome.fan_ids)
    cautions = cautions_of(
        visit, checks, outcome.inspections, outcome.fan_ids, by, outcome.findings,
        outcome.beltless.get(visit.pk, ()),
    )  # fmt: skip
    return RecordedVisit(
        visit, created, outcome.fan_ids, checks, cautions, unwritten=outcome.unwritten
    )


def record_event(*, payload: Mapping[str, Any], by: Person | None, now: datetime) -> Recorded:
    """Store what happened between visits; raises as ``record_visit``."""
    outcome, row, created = _record(payload, "event", by, now)
    return Recorded(row, created, outcome.fan_ids)


def record_decision(*, payload: Mapping[str, Any], by: Person | None, now: datetime) -> Recorded:
    """Store the owner's answer; raises as ``record_visit``."""
    outcome, row, created = _record(payload, "decision", by, now)
    return Recorded(row, created, outcome.fan_ids)


def close_finding(*, payload: Mapping[str, Any], by: Person | None, now: datetime) -> Recorded:
    """Close a finding with a reason; raises as ``record_visit``."""
    outcome, row, created = _record(payload, "closing", by, now)
    return Recorded(row, created, outcome.fan_ids)


def _record(
    payload: Mapping[str, Any],
    type_: str,
    by: Person | None,
    now: datetime,
    here: bool = True,
    **how: Any,
) -> tuple[Outcome, Any, bool]:
    entry, noted = _read(payload, type_)
    entries, faulty = ([], [entry]) if noted else ([entry], [])
    outcome = record_entries(entries, faulty=faulty, by=by, now=now, here=here, **how)
    # Where something could not be read, looking it up has nothing to add.
    places = {said.pointer for said in noted}
    for _id, said in outcome.complaints:
        if said.pointer not in places:
            noted.append(said)
    if noted:
        raise PayloadError(noted)
    if outcome.conflicts:
        raise PayloadConflictError
    created = entry.id in outcome.stored
    return outcome, (outcome.stored if created else outcome.repeated)[entry.id], created


def _read(payload: Mapping[str, Any], type_: str) -> tuple[Entry, Complaints]:
    """The entry as far as it can be read, with what is wrong with it.

    Here it must bring its own id and be of the type this door takes.
    """
    complaints = Complaints()
    if payload.get("id") is None:
        complaints.append(complaint("/id", _("id is missing"), None, _("make a UUID and keep it")))
    if payload.get("type", type_) != type_:
        remedy = _("send a %(type)s") % {"type": type_}
        complaints.append(
            complaint("/type", _("another type is wanted here"), payload["type"], remedy)
        )
    if payload.get("inspector_qualified") is not None:
        complaints.append(
            complaint(
                "/inspector_qualified", _("this is taken from old files only"), None,
                _("leave it out: what is recorded of the technician counts"),
            )
        )  # fmt: skip
    try:
        return read_record(payload, type_=type_, noted=complaints), complaints
    except PayloadError as error:
        if error.entry is None:
            raise
        return error.entry, complaints
