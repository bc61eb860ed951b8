"""How the jobs stand, read from the tables: any process answers alike."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.db.models import Count
from kombu import Connection
from kombu.exceptions import OperationalError

from schedules.jobs.timetable import TIMETABLE, Entry
from schedules.models import DueState, Job, Notice

LATE = timedelta(minutes=15)
"""An entry that nobody took up so long after its time stands still; before, workers are busy."""
BROKER_PATIENCE_S = 2
SHOWN = 50
RECKONING = ("reckon changed fans", "reckon every fan")


@dataclass(frozen=True)
class EntryStatus:
    """One line of the timetable: its latest turn, the ranges of it still to do, its next turn."""

    entry: Entry
    job: Job
    ranges_left: int
    next_turn: datetime
    is_late: bool

    @property
    def took(self) -> timedelta | None:
        """From beginning to end; None while it runs, or before it ever ran."""
        job = self.job
        return job.ended_at - job.begun_at if job.ended_at and job.begun_at else None


@dataclass(frozen=True)
class Status:
    """What the status page and the figures tell; ``parked`` are the first of ``parked_count``."""

    entries: list[EntryStatus]
    stale_fans: int
    oldest_stale: DueState | None
    unreadable_fans: int
    notices_owed: int
    notices_failed: int
    parked: list[Job]
    parked_count: int

    @property
    def last_reckoning(self) -> datetime | None:
        """When dates were last brought up to date, with or without anything to do."""
        lines = (line for line in self.entries if line.entry.name in RECKONING)
        return max((line.job.ended_at for line in lines if line.job.ended_at), default=None)


def read_status(now: datetime) -> Status:
    """All of it, in a few short queries."""
    stale, parked = DueState.objects.stale(), Job.objects.parked()
    return Status(
        entries=list(_lines(now)),
        stale_fans=stale.count(),
        oldest_stale=stale.select_related("fan", "site").order_by("touched_at", "fan_id").first(),
        unreadable_fans=DueState.objects.exclude(fault="").count(),
        notices_owed=Notice.objects.unsent().count(),
        notices_failed=Notice.objects.failed().count(),
        parked=list(parked.order_by("parked_at", "pk")[:SHOWN]),
        parked_count=parked.count(),
    )


def _lines(now: datetime) -> Iterator[EntryStatus]:
    jobs = {job.entry: job for job in Job.objects.filter(last_fan=0)}
    left = Job.objects.ranges().filter(parked_at=None).order_by().values("entry")
    ranges = dict(left.annotate(count=Count("pk")).values_list("entry", "count"))
    for entry in TIMETABLE:
        job = jobs.get(entry.name, Job(entry=entry.name))
        yield EntryStatus(
            entry, job, ranges.get(entry.name, 0), entry.next_turn(now), _is_late(entry, job, now)
        )


def _is_late(entry: Entry, job: Job, now: datetime) -> bool:
    """Whether its latest turn is long past and nobody has taken it up."""
    due = entry.turn(now - LATE)
    in_hand = job.claimed_until is not None and job.claimed_until > now
    return not (in_hand or job.parked_at) and (job.turn is None or job.turn < due)


def late_entries(now: datetime) -> list[str]:
    """Names of entries that should have been done and that nobody took up."""
    return [line.entry.name for line in _lines(now) if line.is_late]


def broker_trouble() -> str | None:
    """What keeps us from the broker, without its address; None where there is none to reach."""
    if not settings.REDIS_URL:
        return None
    try:
        with Connection(settings.REDIS_URL, connect_timeout=BROKER_PATIENCE_S) as link:
            link.ensure_connection(max_retries=1, timeout=BROKER_PATIENCE_S)
    except (OperationalError, OSError) as error:
        return type(error.__cause__ or error).__name__
    return ""
