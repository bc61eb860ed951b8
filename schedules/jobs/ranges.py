"""The fleet, or what is stale of it, in ranges of fans: each a job that any worker may do."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime

from django.db.models import Max

from schedules.due.reckoning import BLOCK
from schedules.jobs.timetable import Entry, Fans
from schedules.models import DueState, Job

SMALLEST = 50
"""A range of no more fans is not halved: so many may wait for a bad one among them."""
MOST_PARKED = 20
"""With so many ranges parked it is not some fans that are bad, and halving finds nothing."""


def lay_out(entry: Entry, turn: datetime) -> list[Job]:
    """Write down the ranges of this turn, and give all that are to be done.

    Ranges left by the turn before are done first; what has come since waits for the next one.
    """
    left = Job.objects.ranges().filter(entry=entry.name, parked_at=None)
    if not left.exists():
        rows = [
            Job(entry=entry.name, first_fan=first, last_fan=last, turn=turn)
            for first, last in _ranges(entry)
        ]
        Job.objects.bulk_create(rows, ignore_conflicts=True)
    return list(left)


def _ranges(entry: Entry) -> Iterator[Fans]:
    """Ranges of a block of fans each, none of which is parked."""
    parked = Job.objects.ranges().parked().order_by("first_fan")
    begin = 1
    for first, last in [*parked.values_list("first_fan", "last_fan"), _beyond()]:
        ids = _ids((begin, first - 1), only_stale=entry.only_stale)
        for at in range(0, len(ids), BLOCK):
            block = ids[at : at + BLOCK]
            yield block[0], block[-1]
        begin = max(begin, last + 1)


def _beyond() -> Fans:
    last = (DueState.objects.aggregate(last=Max("fan_id"))["last"] or 0) + 1
    return last, last


def _ids(fans: Fans, *, only_stale: bool = False) -> Sequence[int]:
    rows = DueState.objects.stale() if only_stale else DueState.objects.all()
    rows = rows.filter(fan_id__gte=fans[0], fan_id__lte=fans[1])
    return list(rows.order_by("fan_id").values_list("fan_id", flat=True))


def halves_of(job: Job) -> list[Fans]:
    """The two halves of a range by its fans; none where it is small, or much is parked already."""
    if not job.fans or Job.objects.ranges().parked().count() >= MOST_PARKED:
        return []
    ids = _ids(job.fans)
    if len(ids) <= SMALLEST:
        return []
    middle = len(ids) // 2
    return [(job.first_fan, ids[middle - 1]), (ids[middle], job.last_fan)]
