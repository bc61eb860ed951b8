"""Give the reason for a stop that was not made: one word more, and the last one counts."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.db.models import Q

from config.characters import hidden_in
from config.collisions import in_one_transaction
from fleet.models import Person
from fleet.services.errors import RegisterError, refuse
from schedules.done.figures import Done, read_done
from schedules.done.judging import NOT_DONE, Judged
from schedules.done.seen import Narrowed
from schedules.models import PlannedStop, StopReason
from schedules.weeks import iso_week
from schedules.wording.days import day_text
from visits.models import NotReached

MOST_NOTE = 250


class NoSuchStopError(LookupError):
    """No version in force has that stop, or it is not the technician's who asks."""


class TakenError(RegisterError):
    """Another reason is on record under that id."""


@dataclass(frozen=True)
class Given:
    """What somebody says of a week's stop; ``id`` is made by who sends it: sent twice it is one."""

    id: UUID
    monday: date
    key: UUID
    reason: str
    note: str = ""


@in_one_transaction
def give_reason(*, given: Given, by: Person, now: datetime) -> tuple[StopReason, bool]:
    """Put it on record; the row, and whether it is new.

    Planners may for every stop, technicians for their own.  Raises NoSuchStopError, RegisterError
    with every fault, TakenError where the id is another's, PermissionDenied for owners.
    """
    if not by.works_here:
        raise PermissionDenied("Only the company's own people say why a stop was not made.")
    if known := StopReason.objects.filter(pk=given.id).select_related("stop__round").first():
        return _again(known, given, by), False
    found = work_at(given.monday, given.key, by, now)
    stop = PlannedStop.objects.get(pk=found[0].planned.stop)
    if faults := _faults(given, found, stop, now):
        raise refuse(faults)
    row = StopReason.objects.create(
        id=given.id, stop=stop, on=found[0].planned.on, reason=given.reason,
        note=given.note.strip(), given_at=now, given_by=by,
    )  # fmt: skip
    return row, True


def work_at(monday: date, key: UUID, by: Person, now: datetime) -> list[Judged]:
    """What became of the work promised at a week's stop, as far as somebody may know of it.

    NoSuchStopError where there is none.
    """
    rows = PlannedStop.objects.filter(key=key, round__version__plan__monday=monday)
    site = rows.order_by().values_list("site", flat=True).first()
    done = read_done(monday, monday, now, Narrowed(site=site)) if site else Done((), ())
    mine = [each for each in done.judged if each.planned.key == key
            and (by.plans or each.planned.technician == by.pk)]  # fmt: skip
    if not mine:
        raise NoSuchStopError(f"no stop {key} of {iso_week(monday)} that is yours to tell of")
    return mine


def _again(known: StopReason, given: Given, by: Person) -> StopReason:
    same = (known.stop.key, known.reason, known.note, known.given_by_id)
    if same != (given.key, given.reason, given.note.strip(), by.pk):
        raise TakenError(f"another reason is on record under the id {given.id}; make a new id")
    return known


def _faults(given: Given, found: list[Judged], stop: PlannedStop, now: datetime) -> dict[str, str]:
    faults = {}
    note = given.note.strip()
    if given.reason not in NotReached.REASONS:
        known = ", ".join(NotReached.REASONS)
        faults["reason"] = f"{given.reason!r} is no reason known here; give one of {known}"
    if given.reason == "other" and not note:
        faults["note"] = "another reason says nothing without a note; write what it was"
    if len(note) > MOST_NOTE:
        faults["note"] = f"the note has {len(note)} characters; at most {MOST_NOTE} are kept"
    elif hidden_in(note):
        faults["note"] = "the note holds characters that nobody can see; write it anew"
    on, today = found[0].planned.on, now.astimezone(stop.site.zone).date()
    if on > today:
        faults["stop"] = f"it is planned for {day_text(on)}; say why on that day or later"
    elif on < today and not any(each.outcome in NOT_DONE for each in found):
        faults["stop"] = "all its work is done or needless; a reason has nothing to explain"
    return faults


def reasons_given(stops: Q) -> list[StopReason]:
    """All that was said of some stops, in order, with who said it."""
    rows = StopReason.objects.filter(stops)
    return list(rows.select_related("given_by").order_by("given_at", "pk"))
