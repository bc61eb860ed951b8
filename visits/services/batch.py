"""Takes a batch of records, one or ten thousand, in a fixed number of look-ups and writes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from itertools import chain
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import F

from config.questions import Question, Row
from fleet.models import Person
from fleet.signals import touch_fans
from visits.judging import judge_row, verdicts
from visits.limits import DEFAULT_LIMITS, Limits
from visits.models import Closing, Decision, Finding, SystemInspection
from visits.payload.complaints import Complaint
from visits.payload.entries import (
    AnswerEntry,
    ClosingEntry,
    Entry,
    EventEntry,
    Place,
    VisitEntry,
)
from visits.payload.moments import Local, Moment
from visits.payload.visit import NO_DAY
from visits.services.beltless import Sent, beltless_parts, stood_in
from visits.services.ground import Ground
from visits.services.laying import VisitLayer
from visits.services.laying_others import lay_answer, lay_closing, lay_event
from visits.services.past import Before, hangs_on_past, new_looks, past_of, settle_past
from visits.services.register import (
    OF_SITES,
    SiteFacts,
    load_people,
    named,
    named_sites,
    read_register,
)
from visits.services.rejudging import judge_again
from visits.services.rows import NewCheck, Rows
from visits.services.stored import (
    Stored,
    asked_visits,
    load_records,
    load_references,
    stored_visits,
)

GIVEN = ("ids", "owners", "names", "visits", "corrected")
LOOK_UP = Question(GIVEN, **OF_SITES, visits=stored_visits)
"""The sites that a batch names with all that stands there, and visits under its ids."""

LOOK_BACK = Question(GIVEN, **OF_SITES, visits=stored_visits, **past_of(named_sites))
"""The same, and what came before on these sites."""

BESIDE_CHECKS = (
    "findings", "actions", "recommendations", "decisions", "not_reached", "made_safe",
    "inspections", "plates", "supersedes",
)  # fmt: skip
"""What a visit may tell or change beside its checks."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a batch did: rows by entry id, ids that were already there, and who is touched.

    ``unwritten`` are its rows where they were left to be written later; ``beltless`` is what visits
    told of belts of fans that have none by the register.  With ``complaints`` (by
    entry id) or ``conflicts`` nothing was written.
    """

    stored: Mapping[UUID, Any] = field(default_factory=dict)
    repeated: Mapping[UUID, Any] = field(default_factory=dict)
    checks: Sequence[NewCheck] = ()
    inspections: Sequence[SystemInspection] = ()
    findings: Sequence[Finding] = ()
    beltless: Mapping[UUID, Sent] = field(default_factory=dict)
    fan_ids: tuple[int, ...] = ()
    unwritten: Rows | None = None
    complaints: tuple[tuple[UUID, Complaint], ...] = ()
    conflicts: tuple[UUID, ...] = ()


Ahead = Callable[[Sequence[int]], bool]
"""Hears of fans about to be touched, lowest id first; whether it sees to the rest."""


def record_entries(
    entries: Sequence[Entry],
    *,
    faulty: Sequence[Entry] = (),
    by: Person | None,
    now: datetime,
    here: bool = True,
    from_file: bool = False,
    limits: Limits = DEFAULT_LIMITS,
    only_read: bool = False,
    ahead: Ahead | None = None,
) -> Outcome:
    """Lay out, judge and write what is new among ``entries``, or tell all that is wrong.

    ``faulty`` are entries that could be read in part: what they name is looked up so that all is
    told at once, and with any of them nothing is written; nor with ``only_read``, where ``stored``
    is what would be.  ``ahead`` hears as soon as it can whom rows touch that change nothing on
    record; if it says yes they are left to the caller, who writes them in the same transaction and
    has told whoever keeps dates.
    One transaction, the caller's where there is one.  Two senders of one id at the same moment meet
    in the table's key: the later gets IntegrityError and finds the record stored when it tries
    again.
    """
    # Nothing but machines and their plates is written before all is known to be right.
    with transaction.atomic(savepoint=may_swap([*entries, *faulty])):
        told = [*entries, *faulty]
        back = any(isinstance(entry, VisitEntry) and hangs_on_past(entry) for entry in told)
        found = _looked_up(told, LOOK_BACK if back else LOOK_UP)
        stored = load_records(told, found["visits"])
        fresh, repeated, conflicts = _sort_out(entries, stored)
        fresh += _unknown(faulty, fresh, stored)
        if not fresh:
            return Outcome(repeated=repeated, conflicts=conflicts)
        load_references(stored, fresh, by)
        ground = Ground(
            now=now, by=by, here=here, from_file=from_file, stored=stored,
            register=read_register(found, by), people=load_people(_names(fresh)),
        )  # fmt: skip
        left = False
        if ahead is not None and not (back or faulty or conflicts):
            left = ahead(_only_checked(fresh, ground))
        _lay_all(ground, fresh)
        if ground.complaints or conflicts or faulty:
            if ground.swapped:
                transaction.set_rollback(True)
            return Outcome(
                repeated=repeated, complaints=tuple(ground.complaints), conflicts=conflicts
            )
        if only_read:
            transaction.set_rollback(bool(ground.swapped))
            beltless = beltless_parts(ground.rows, stood_in(ground.register))
            return Outcome(stored=_written(ground.rows), repeated=repeated, beltless=beltless)
        if back:  # which may mend what came before
            _judge(ground, found, limits)
        left = left or (ahead is not None and ground.only_adds and ahead(sorted(ground.touched)))
        if not back:
            _judge(ground, found, limits)
        if not left:
            _write(ground, limits)
    return _outcome(ground, repeated, left=left)


def _write(ground: Ground, limits: Limits) -> None:
    """Write what was laid out, have past answers follow, and tell whoever keeps dates."""
    ground.rows.write()
    _carry(ground.carried)
    if ground.swapped:
        judge_again(fan_ids=ground.swapped, limits=limits)
    touch_fans(ground.touched)


def _outcome(ground: Ground, repeated: dict[UUID, Any], *, left: bool) -> Outcome:
    """What became of it all; rows left to the caller go along."""
    rows = ground.rows
    return Outcome(
        stored=_written(rows), repeated=repeated, checks=rows.checks, inspections=rows.inspections,
        findings=rows.findings, beltless=beltless_parts(rows, stood_in(ground.register)),
        fan_ids=tuple(sorted(ground.touched)), unwritten=rows if left else None,
    )  # fmt: skip


def _only_checked(entries: Sequence[Entry], ground: Ground) -> list[int]:
    """The fans that entries touch which hold nothing but checks, lowest id first; none of others.

    They are known before anything is laid out, and what is on record of them can be on its way.
    """
    found: set[int] = set()
    for entry in entries:
        if not isinstance(entry, VisitEntry) or any(getattr(entry, part) for part in BESIDE_CHECKS):
            return []
        site = ground.register.site(entry.place)
        fans = site.fans if site else {}
        found.update(
            fans[tag].id for check in entry.checks if (tag := check.fan.casefold()) in fans
        )
    return sorted(found)


def _looked_up(entries: Sequence[Entry], question: Question) -> dict[str, list[Row]]:
    """What is on record under the names and ids that the entries bring, in one statement."""
    return question.ask(**named(_places(entries)), **asked_visits(entries))


def may_swap(entries: Sequence[Entry]) -> bool:
    """Whether a machine was replaced, its plate read, or that taken back: told while laid out."""
    visits = [entry for entry in entries if isinstance(entry, VisitEntry)]
    replaced = any(action.machine is not None for visit in visits for action in visit.actions)
    return replaced or any(visit.plates or visit.supersedes for visit in visits)


def _sort_out(
    entries: Sequence[Entry], stored: Stored
) -> tuple[list[Entry], dict[UUID, Any], tuple[UUID, ...]]:
    """New entries, those already stored (or told twice here), and ids used for something else."""
    fresh: dict[UUID, Entry] = {}
    repeated: dict[UUID, Any] = {}
    conflicts: list[UUID] = []
    for entry in entries:
        row, twin = stored.row(entry), fresh.get(entry.id)
        if row is None and twin is None:
            fresh[entry.id] = entry
        elif (row.payload_sha256 if row else twin.sha256 if twin else "") == entry.sha256:
            repeated[entry.id] = row
        else:
            conflicts.append(entry.id)
    return list(fresh.values()), repeated, tuple(conflicts)


def _unknown(faulty: Sequence[Entry], fresh: Sequence[Entry], stored: Stored) -> list[Entry]:
    """Each faulty entry under an id that nothing else has."""
    taken = {entry.id for entry in fresh}
    found = {entry.id: entry for entry in faulty if entry.id not in taken}
    return [entry for entry in found.values() if stored.row(entry) is None]


def _places(entries: Iterable[Entry]) -> Iterator[Place]:
    for entry in entries:
        if isinstance(entry, (VisitEntry, EventEntry)):
            yield entry.place
        elif isinstance(entry, AnswerEntry) and not entry.decision.recommendation:
            yield entry.decision.place


def _names(entries: Iterable[Entry]) -> set[str]:
    technicians = {e.technician for e in entries if isinstance(e, VisitEntry)}
    closers = {e.closed_by for e in entries if isinstance(e, ClosingEntry)}
    return (technicians | closers) - {""}


def _lay_all(ground: Ground, entries: Sequence[Entry]) -> None:
    """Visits in order of time, since a machine replaced by one is what the next one checks."""
    placed: list[tuple[Local, VisitEntry | EventEntry, SiteFacts]] = []
    for entry in entries:
        if isinstance(entry, (VisitEntry, EventEntry)):
            placed.extend(_placed(ground, entry))
    placed.sort(key=lambda row: row[0].at)
    for began, entry, site in _corrections_last(placed):
        ground.origin = entry.id
        if isinstance(entry, VisitEntry):
            VisitLayer(ground, entry, site, began).lay()
        else:
            lay_event(ground, entry, site, began)
    for entry in entries:
        ground.origin = entry.id
        if isinstance(entry, AnswerEntry):
            lay_answer(ground, entry)
        elif isinstance(entry, ClosingEntry):
            lay_closing(ground, entry)


def _placed(
    ground: Ground, entry: VisitEntry | EventEntry
) -> Iterator[tuple[Local, VisitEntry | EventEntry, SiteFacts]]:
    ground.origin = entry.id
    site = ground.site(entry.place)
    if site is None:
        return
    visit = isinstance(entry, VisitEntry)
    moment = entry.began if isinstance(entry, VisitEntry) else entry.started
    local = ground.moment(site, moment, "/began_at" if visit else "/started")
    # What else is wrong is told even so: as of a day that could not be read.
    yield local or Moment(NO_DAY).at(site.zone), entry, site


def _corrections_last(
    placed: list[tuple[Local, VisitEntry | EventEntry, SiteFacts]],
) -> Iterator[tuple[Local, VisitEntry | EventEntry, SiteFacts]]:
    """Records in order of time, but none before the one it supersedes; a circle comes last."""
    here = {entry.id for _, entry, _ in placed}
    held = defaultdict(list)
    for row in placed:
        held[row[1].supersedes if row[1].supersedes in here else None].append(row)
    ready = held.pop(None, [])
    while ready:
        yield from ready
        corrections = [row for _, entry, _ in ready for row in held.pop(entry.id, ())]
        ready = sorted(corrections, key=lambda row: row[0].at)
    yield from chain.from_iterable(held.values())


def _judge(ground: Ground, before: Before, limits: Limits) -> None:
    """Verdicts of the new checks, and what the past says about them and they about it."""
    past = settle_past(ground.rows, before, ground.corrected, ground.fans_corrected)
    felt_before = {id(check): slight for check, slight in new_looks(past)}
    for check in ground.rows.checks:
        check.judgements = judge_row(
            vars(check.row),
            plate=check.plate,
            feed=check.feed,
            slight_before=felt_before.get(id(check), False),
            limits=limits,
        )
        check.row.judged = verdicts(check.judgements)


def _carry(carried: Mapping[UUID, UUID]) -> None:
    """What answered a finding or advice of a corrected visit answers the one that replaces it.

    Answers told within that visit are its own, which its correction brings anew.
    """
    for old, new in carried.items():
        Closing.objects.filter(finding=old).update(finding=new)
        answers = Decision.objects.filter(recommendation=old)
        answers.exclude(visit=F("recommendation__visit")).update(recommendation=new)


def _written(rows: Rows) -> dict[UUID, Any]:
    told: tuple[Any, ...] = (*rows.visits, *rows.events, *rows.closings, *rows.decisions)
    return {row.pk: row for row in told if row.payload_sha256}
