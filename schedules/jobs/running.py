"""Does one job, wherever it is handed out: in a worker, or in place."""

from __future__ import annotations

import logging
import time
from datetime import datetime

from celery.exceptions import SoftTimeLimitExceeded
from django.db import InterfaceError, OperationalError
from django.utils import timezone
from structlog.contextvars import bound_contextvars

from schedules.jobs.ledger import fail, finish, put_off, take
from schedules.jobs.ranges import lay_out
from schedules.jobs.timetable import ENTRIES, Entry, Fans
from schedules.models import Job

log = logging.getLogger(__name__)
PASSES = (OperationalError, InterfaceError, OSError)
"""The database, the disk or the network: nothing that trying less often would mend."""


def run_job(name: str, fans: Fans | None, turn: datetime, claim: str, now: datetime) -> list[Job]:
    """Do the job if it is there to be taken; the ranges it leaves for others to do.

    Whatever goes wrong is noted in the table, and never reaches the caller.
    """
    entry = ENTRIES[name]
    with bound_contextvars(job=claim, entry=name):
        job = take(entry, fans, turn, claim, now)
        if job is None:
            return []
        began = time.monotonic()
        try:
            ranges, count = _do(entry, job, now)
        except PASSES as error:
            log.warning("put off, tried again in a minute: %s", error)
            put_off(job, str(error), timezone.now())
            return []
        except SoftTimeLimitExceeded:
            log.error("ran out of its time, %s", entry.limit)
            fail(job, f"It ran out of its time ({entry.limit}).", timezone.now())
            return []
        except Exception as error:
            log.exception("failed; try %s", job.tries)
            fail(job, f"{type(error).__name__}: {error}", timezone.now())
            return []
        finish(job, count, timezone.now())
        if count or ranges:
            told = {"count": count, "ranges": len(ranges)}
            log.info("done", extra=told | {"seconds": round(time.monotonic() - began, 3)})
        return ranges


def _do(entry: Entry, job: Job, now: datetime) -> tuple[list[Job], int]:
    if entry.by_ranges and not job.fans:
        return lay_out(entry, job.turn or now), 0
    return [], entry.run(now, job.fans)
