"""The timetable at work: what is to be done now is handed out, then it sleeps again."""

from __future__ import annotations

import logging
import threading
from datetime import datetime, timedelta

from django.db import close_old_connections
from django.utils import timezone
from kombu.exceptions import OperationalError

from schedules.jobs.tasks import hand_out
from schedules.jobs.timetable import ENTRIES, TIMETABLE
from schedules.models import Job

log = logging.getLogger(__name__)
WAKE_S = 20.0
AGAIN = timedelta(minutes=10)
"""A job handed out that nobody has taken up by then is handed out again: its message is lost."""


def wake(now: datetime) -> int:
    """Hand out every turn and range that is to be done at ``now``; how many were.

    A turn missed while nothing ran is done once, however many were missed.  Kombu's
    OperationalError where the broker takes nothing; whatever was not handed out is, next time.
    """
    _enter_new()
    handed = 0
    for job in Job.objects.free(now).order_by("last_fan", "pk"):
        entry = ENTRIES.get(job.entry)
        if entry is None:
            continue
        turn = job.turn if job.fans and job.turn else entry.turn(now)
        if _is_to_do(job, turn) and _mark_sent(job, turn, now):
            _hand_out(job, turn)
            handed += 1
    return handed


def _hand_out(job: Job, turn: datetime) -> None:
    try:
        hand_out(job.entry, job.fans, turn)
    except OperationalError:
        Job.objects.filter(pk=job.pk).update(sent_at=job.sent_at)
        raise


def _enter_new() -> None:
    """Entries that this install has not run yet have their row; the table's order is theirs."""
    there = set(Job.objects.filter(last_fan=0).values_list("entry", flat=True))
    new = [Job(entry=entry.name) for entry in TIMETABLE if entry.name not in there]
    if new:
        Job.objects.bulk_create(new, ignore_conflicts=True)


def _is_to_do(job: Job, turn: datetime) -> bool:
    return job.turn is None or job.turn < turn or job.ended_at is None


def _mark_sent(job: Job, turn: datetime, now: datetime) -> bool:
    """Whether this timetable is the one to hand it out: once for each turn, until it is lost."""
    if job.sent_at and job.sent_at >= turn and job.sent_at + AGAIN > now:
        return False
    same = Job.objects.filter(pk=job.pk, sent_at=job.sent_at)
    return bool(same.update(sent_at=now))


class TimetableThread(threading.Thread):
    """Wakes every so often until told to stop; trouble never ends it."""

    def __init__(self) -> None:
        super().__init__(name="timetable", daemon=True)
        self.stopped = threading.Event()

    def run(self) -> None:
        while True:
            close_old_connections()
            try:
                wake(timezone.now())
            except OperationalError as error:
                log.warning("the broker takes no jobs, they wait: %s", error)
            except Exception:
                log.exception("the timetable could not hand out its jobs; it tries again soon")
            finally:
                close_old_connections()
            if self.stopped.wait(WAKE_S):
                return

    def stop(self, timeout_s: float = 30.0) -> None:
        """Let the job in hand finish, then end."""
        self.stopped.set()
        self.join(timeout_s)
