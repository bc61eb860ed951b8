"""What people do that needs the record and its dates at once: log, correct, answer, bring files."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import partial
from typing import Any

from django.db import DatabaseError, IntegrityError, transaction
from django.db.models import Exists, OuterRef

from config.collisions import collided, in_one_transaction, is_key_taken
from config.committing import Commit, unawaited
from fleet.imports.columns import BY_KEY
from fleet.imports.complaints import Complaint
from fleet.imports.plan import Motor
from fleet.imports.report import ImportReport
from fleet.models import Fan, Person
from fleet.services.imports import import_fleet, read_fleet
from fleet.services.onboarding import brought_together, reorder_onboarding
from schedules.causes.services import Explained, confirmed_causes, explain_losses, losses_logged
from schedules.due.reckoning import BLOCK, Report, reckon_fans
from schedules.due.standings import standings
from schedules.due.truth import ReadAhead, Truth, read_truth
from schedules.due.writing import MANY
from schedules.models import DueState
from schedules.patterns.causes_told import follow_logged
from visits.imports.report import VisitImportReport
from visits.judging import feed_of, judge_feed, plate_of
from visits.models import Check
from visits.services import (
    Ahead,
    PayloadConflictError,
    Recorded,
    RecordedVisit,
    close_finding,
    judge_again,
    recall,
    recall_visit,
    record_decision,
    record_event,
    record_visit,
)
from visits.services.imports import import_visits, read_visits
from visits.wording import VERDICTS, basis_words, judgement_sentence, words

log = logging.getLogger(__name__)

Noted = RecordedVisit | Recorded
NOT_RECKONED = (ArithmeticError, LookupError, TypeError, ValueError, DatabaseError)


@dataclass(frozen=True)
class Logged:
    """What was recorded, and where each touched fan stands now; also of what was there already.

    ``reckoned`` is false where dates could not be reckoned: the record is kept all the same and the
    fans stay marked for the next pass.  ``truth`` is all that is on record of these fans, where it
    was read anyway.  ``failed`` are the losses of function that a visit logs, with what may have
    caused them.  ``told`` is what ``tell`` made of the rest.
    """

    recorded: Noted
    due: tuple[DueState, ...]
    reckoned: bool
    truth: Truth | None = None
    failed: Sequence[Explained] = ()
    told: Any = None


Tell = Callable[[Logged], Any]
"""What somebody hears of it, made while the database commits."""


def _nothing(_: Logged) -> None:
    """For callers who have nothing to tell while the database commits."""


def log_visit(
    *, payload: Mapping[str, Any], by: Person | None, now: datetime, tell: Tell = _nothing
) -> Logged:
    """Record a visit or a correction of one and give each touched fan its new dates.

    Raises PayloadError with every complaint, PayloadConflictError where the id is taken.
    """
    record = partial(record_visit, payload=payload, by=by, now=now)
    return _logged(lambda ahead: record(ahead=ahead), now, tell, by)


def log_event(
    *, payload: Mapping[str, Any], by: Person | None, now: datetime, tell: Tell = _nothing
) -> Logged:
    """Record what happened between visits; raises as ``log_visit``."""
    return _logged(lambda _: record_event(payload=payload, by=by, now=now), now, tell)


def log_decision(
    *, payload: Mapping[str, Any], by: Person | None, now: datetime, tell: Tell = _nothing
) -> Logged:
    """Record an owner's answer; raises as ``log_visit``."""
    return _logged(lambda _: record_decision(payload=payload, by=by, now=now), now, tell)


def log_closing(
    *, payload: Mapping[str, Any], by: Person | None, now: datetime, tell: Tell = _nothing
) -> Logged:
    """Close a finding with its reason; raises as ``log_visit``."""
    return _logged(lambda _: close_finding(payload=payload, by=by, now=now), now, tell)


class _NotReckonedError(Exception):
    """Something failed while dates were reckoned: the transaction is lost with it."""


class _Meanwhile(ExitStack):
    """What the database does while a visit is judged, reckoned and put into words."""

    commit: Commit
    read: ReadAhead | None = None

    def ahead(self, fan_ids: Sequence[int]) -> bool:
        """Have what is on record of a few fans read already."""
        if not 0 < len(fan_ids) < MANY:
            return False
        self.begin()
        self.read = ReadAhead(fan_ids)
        return True

    def begin(self, *, few: bool = True) -> None:
        """From now on what is written is not waited for."""
        self.commit = self.enter_context(unawaited(few=few))


Record = Callable[[Ahead | None], Noted]


def _logged(record: Record, now: datetime, tell: Tell, by: Person | None = None) -> Logged:
    """Record and reckon in one transaction; without dates where reckoning would lose the record."""
    try:
        logged = _record_and_reckon(record, now, tell, by)
    except _NotReckonedError:
        recorded = in_one_transaction(record)(None)
        logged = Logged(recorded, _due_rows(recorded.fan_ids), reckoned=False)
    except IntegrityError as error:
        # Tried again, two senders of one record find it; so another one has this id.
        if is_key_taken(error):
            raise PayloadConflictError from error
        raise
    follow_logged(logged.recorded, logged.truth, now)
    return replace(logged, told=tell(logged)) if logged.told is None else logged


@in_one_transaction
def _record_and_reckon(record: Record, now: datetime, tell: Tell, by: Person | None) -> Logged:
    with _Meanwhile() as meanwhile:
        recorded = record(meanwhile.ahead)
        if not recorded.created:
            return _with_causes(_recalled(recorded), by)
        try:
            if not meanwhile.read:
                meanwhile.begin(few=len(recorded.fan_ids) < MANY)
            logged = _with_causes(_reckoned(recorded, meanwhile.read, now), by)
            if logged.truth is not None:
                # With all of it at hand nothing is asked of the database in order to tell.
                meanwhile.commit()
                logged = _told(logged, tell)
            meanwhile.close()
            return logged
        except NOT_RECKONED as error:
            if isinstance(error, DatabaseError) and collided(error):
                raise
            log.exception("fans %s were not reckoned; the next pass tries again", recorded.fan_ids)
            raise _NotReckonedError from error


def _with_causes(logged: Logged, by: Person | None) -> Logged:
    """With what may have caused the losses of function that a visit logs; one statement if any.

    Whatever goes wrong in ranking them costs neither the record nor its dates.
    """
    if logged.truth is None or not isinstance(logged.recorded, RecordedVisit):
        return logged
    visit = logged.recorded.visit
    try:
        losses = losses_logged(logged.truth, visit.pk)
        if not losses:
            return logged
        is_there = by is not None and by.pk == visit.technician_id
        qualified = is_there and by is not None and by.qualified_energised_work
        confirmed = confirmed_causes({loss.item for loss in losses})
        failed = explain_losses(losses, confirmed, qualified=qualified)
    except (ArithmeticError, LookupError, TypeError, ValueError):
        log.exception("the causes of what visit %s logs could not be ranked", visit.pk)
        return logged
    return replace(logged, failed=failed)


def _told(logged: Logged, tell: Tell) -> Logged:
    """With its answer; should words fail, they do so again where nothing is lost by it."""
    try:
        return replace(logged, told=tell(logged))
    except NOT_RECKONED:
        return logged


def _reckoned(recorded: Noted, read: ReadAhead | None, now: datetime) -> Logged:
    """The new dates of what has just been recorded, or is still to be written."""
    fan_ids = sorted(recorded.fan_ids)
    if read and isinstance(recorded, RecordedVisit) and recorded.unwritten:
        known = read.write(recorded.unwritten)
        report = reckon_fans(fan_ids=fan_ids, now=now, tell=True, truth=known)
    else:
        report = _reckon(fan_ids, now, tell=True)
    truth = report.truths[0] if len(report.truths) == 1 else None
    return Logged(recorded, report.states, reckoned=not report.failed, truth=truth)


def _recalled(recorded: Noted) -> Logged:
    """What was there already: its verdicts, and its fans' dates as they stand by now."""
    noted: Noted
    if isinstance(recorded, RecordedVisit):
        noted = recall_visit(recorded.visit)
    else:
        noted = recall(recorded.row)
    truth = read_truth(noted.fan_ids)
    due = tuple(DueState(**row) for row in truth.due)
    fresh = all(not row.fault and row.revision == row.reckoned_revision for row in due)
    return Logged(noted, due, reckoned=fresh, truth=truth)


def _reckon(fan_ids: Sequence[int], now: datetime, *, tell: bool = False) -> Report:
    report = Report()
    for start in range(0, len(fan_ids), BLOCK):
        report += reckon_fans(fan_ids=fan_ids[start : start + BLOCK], now=now, tell=tell)
    return report


def _due_rows(fan_ids: Iterable[int]) -> tuple[DueState, ...]:
    return tuple(DueState.objects.filter(fan__in=fan_ids).order_by("fan_id"))


def _reckon_or_leave(fan_ids: Sequence[int], now: datetime) -> None:
    """Reckon inside a savepoint: whatever goes wrong there, the record stays."""
    try:
        with transaction.atomic():
            _reckon(fan_ids, now)
    except NOT_RECKONED:
        log.exception("fans %s were not reckoned; the next pass tries again", list(fan_ids))


def import_visit_file(
    *,
    data: bytes,
    name: str,
    by: Person | None,
    now: datetime,
    here: bool = False,
    dry_run: bool = False,
) -> VisitImportReport:
    """Bring in old records, all or nothing, and reckon the fans they touch."""
    file = read_visits(data)
    bring_in = partial(
        import_visits, file=file, name=name, by=by, now=now, here=here, dry_run=dry_run
    )
    return bring_in() if dry_run or file.complaints else _bring_in_visits(bring_in, by, now)


@in_one_transaction
def _bring_in_visits(
    bring_in: Callable[[], VisitImportReport], by: Person | None, now: datetime
) -> VisitImportReport:
    report = bring_in()
    if report.fan_ids:
        moved = _order_waiting(report.fan_ids, by, now)
        _reckon_or_leave(sorted({*report.fan_ids, *moved}), now)
    return report


def _order_waiting(touched: Sequence[int], by: Person | None, now: datetime) -> list[int]:
    """Fans still waiting for their first visit are seen in the order that their record asks for.

    All that came in together are ordered anew where one of them was touched.  Returns the ids of
    those whose day moved.
    """
    tomorrow = now.date() + timedelta(days=1)
    seen = Check.objects.filter(
        fan=OuterRef("pk"), visit__here=True, visit__superseded_by__isnull=True
    )
    waiting = Fan.objects.filter(~Exists(seen), onboarding_on__gte=tomorrow)
    moved: list[int] = []
    for together in brought_together(waiting):
        if not set(touched).isdisjoint(together):
            order = list(standings(together, now.date()))
            moved += reorder_onboarding(fans=order, now=now, by=by)
    return moved


def import_fleet_file(
    *,
    data: bytes,
    name: str,
    by: Person | None,
    now: datetime,
    dry_run: bool = False,
    weeks: int = 6,
) -> ImportReport:
    """Bring in a spreadsheet of fans, all or nothing, and reckon the fans it touches."""
    file = read_fleet(data=data, now=now)
    bring_in = partial(
        import_fleet, file=file, name=name, by=by, now=now, dry_run=dry_run, onboarding_weeks=weeks
    )
    report = bring_in() if dry_run or file.refused else _bring_in_fleet(bring_in, now)
    return replace(report, notes=(*report.notes, *_doubtful_feeds(report.motors)))


@in_one_transaction
def _bring_in_fleet(bring_in: Callable[[], ImportReport], now: datetime) -> ImportReport:
    report = bring_in()
    _follow(report, now)
    return report


def _doubtful_feeds(motors: Iterable[Motor]) -> Iterator[Complaint]:
    """What the file's feeds would have to be judged *act* for."""
    for motor in motors:
        plate, feed = plate_of(vars(motor.machine)), feed_of(vars(motor.feed))
        for judged in judge_feed(plate, feed):
            column = BY_KEY["feed", judged.quantity].heading
            said = {
                "verdict": words(VERDICTS, judged.verdict),
                "sentence": judgement_sentence(judged),
                "basis": basis_words(judged.basis) if judged.basis else "",
            }
            yield Complaint("judged", motor.row, column, args=said)


def _follow(report: ImportReport, now: datetime) -> None:
    """A completed plate changes what old readings mean; then dates follow."""
    if report.fan_ids:
        if report.changes:
            judge_again(fan_ids=report.fan_ids)
        _reckon_or_leave(report.fan_ids, now)
