"""A cause that a visit's finding told closes the pattern of that item; taken back, it opens again.

The visit is on or after the day on which the newest failure was found.  Who told it closed it.
"""

from __future__ import annotations

import logging
from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from datetime import date, datetime
from typing import NamedTuple
from uuid import UUID

from django.db import DatabaseError
from django.db.models.functions import Coalesce

from config.collisions import in_one_transaction
from fleet.failure_terms import OTHER_CAUSE, is_known, term_of
from fleet.quantities import item_of
from schedules.due.truth import Truth
from schedules.models import Pattern, PatternClosing
from visits.losses import AT_ONCE, Key
from visits.models import Finding, Visit
from visits.models.visits import superseded
from visits.services import Recorded, RecordedVisit
from visits.services.stored import chunked

log = logging.getLogger(__name__)
State = Pattern.State
BATCH = 500


class Told(NamedTuple):
    """A cause as a standing visit tells it; ``is_failure`` where the item had failed then."""

    on: date
    visit: UUID
    cause: str
    by: int | None
    is_failure: bool


def follow_logged(recorded: RecordedVisit | Recorded, truth: Truth | None, now: datetime) -> None:
    """Close and open what a visit just logged bears on, if it tells a cause or corrects one.

    ``truth`` is what is on record of its fans, where that was read.  Whatever goes wrong here costs
    the visit nothing: the next turn of the timetable does it.
    """
    if not (isinstance(recorded, RecordedVisit) and recorded.created):
        return
    visit = recorded.visit
    if visit.supersedes_id is None and truth is not None and not _tells_cause(visit, truth):
        return
    try:
        _follow(recorded.fan_ids, now)
    except DatabaseError:
        log.exception("patterns of fans %s do not yet follow a cause told", list(recorded.fan_ids))


def _tells_cause(visit: Visit, truth: Truth) -> bool:
    rows = (row for each in truth.findings.values() for row in each)
    return any(row["visit_id"] == visit.pk and is_known(row["cause"]) for row in rows)


@in_one_transaction
def _follow(fan_ids: Collection[int], now: datetime) -> int:
    """A failure found since patterns were last looked for is left to the next turn to count."""
    rows = Pattern.objects.select_for_update().filter(fan__in=fan_ids).order_by("pk")
    return follow_causes(list(rows), now, counted=False)


def follow_causes(rows: Collection[Pattern], now: datetime, *, counted: bool) -> int:
    """Bring patterns held for update to what visits tell of their causes; how many moved.

    counted : every failure on record is in the rows.  Again at once it moves nothing; three
    statements, and one more for each 5,000 fans.
    """
    last = _closed_by_visits([row for row in rows if row.state == State.CLOSED])
    followed = [row for row in rows if row.is_open or row.pk in last]
    told = _told({row.fan_id for row in followed})
    moved, closings = [], []
    for row in followed:
        standing = [
            each
            for each in told.get((row.fan_id, row.item), ())
            if each.on >= row.found_on
            and (counted or not each.is_failure or each.on == row.found_on)
        ]
        was = last.get(row.pk)
        if was is not None and any(each.visit == was for each in standing):
            continue
        if standing:
            closings.append(_closing(row, standing[-1], now))
        elif was is None:
            continue
        row.state, row.changed_at = (State.CLOSED if standing else State.OPEN), now
        moved.append(row)
    Pattern.objects.bulk_update(moved, ["state", "changed_at"], batch_size=BATCH)
    PatternClosing.objects.bulk_create(closings, batch_size=BATCH)
    return len(moved)


def _closing(row: Pattern, told: Told, now: datetime) -> PatternClosing:
    return PatternClosing(
        pattern=row, closed_at=now, closed_by_id=told.by, visit_id=told.visit, cause=told.cause,
        failures=row.failures,
    )  # fmt: skip


def _closed_by_visits(closed: Sequence[Pattern]) -> Mapping[int, UUID]:
    """By pattern, the visit whose cause last closed it; people's closings stay theirs."""
    found: dict[int, UUID | None] = {}
    for part in chunked([row.pk for row in closed], AT_ONCE):
        rows = PatternClosing.objects.filter(pattern__in=part).order_by("closed_at", "pk")
        found |= dict(rows.values_list("pattern_id", "visit_id"))
    return {pattern: visit for pattern, visit in found.items() if visit is not None}


def _told(fans: Collection[int]) -> Mapping[Key, Sequence[Told]]:
    """Causes by fan and item, the last told last; *other* without a word more names none."""
    found: dict[Key, list[Told]] = defaultdict(list)
    for part in chunked(fans, AT_ONCE):
        rows = Finding.objects.filter(~superseded("visit"), fan__in=part).exclude(cause="")
        by = Coalesce("visit__technician_id", "visit__recorded_by_id")
        columns = rows.annotate(by=by).order_by("visit__began_at", "pk").values_list(
            "fan_id", "item", "visit__local_on", "visit_id", "cause", "by", "loss_of_function",
            "call_back", "note",
        )  # fmt: skip
        for fan, item, on, visit, cause, who, lost, call_back, note in columns:
            if is_known(cause) and (term_of(cause) != OTHER_CAUSE or note.strip()):
                told = Told(on, visit, cause.strip(), who, lost and not call_back)
                found[fan, item_of(item)].append(told)
    return found
