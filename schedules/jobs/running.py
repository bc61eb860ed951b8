"""Does one job, wherever it is handed out: in a worker, or in place."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable
from datetime import datetime
from typing import TypeVar

from celery.exceptions import SoftTimeLimitExceeded
from django.db import InterfaceError, OperationalError, close_old_connections, connection
from django.utils import timezone
from structlog.contextvars import bound_contextvars

from schedules.jobs.ledger import fail, finish, put_off, take
from schedules.jobs.ranges import lay_out
from schedules.jobs.timetable import ENTRIES, Entry, Fans
from schedules.models import Job

T = TypeVar("T")
log = logging.getLogger(__name__)
AWAY = (OperationalError, InterfaceError)
PASSES = (*AWAY, OSError)
"""The database, the disk or the network: nothing that trying less often would mend."""
AWAY_S = (1, 4, 15)
"""How long a database that restarts is waited for, between attempts to write to its ledger."""


def run_job(name: str, fans: Fans | None, turn: datetime, claim: str, now: datetime) -> list[Job]:
    """Do the job if it is there to be taken; the ranges it leaves for others to do.

    Whatever goes wrong is noted in the table and never reaches the caller, unless the table itself
    stays out of reach: then the job is free again when its time is up.
    """
    entry = ENTRIES[name]
    with bound_contextvars(job=claim, entry=name):
        job = _patiently(lambda: take(entry, fans, turn, claim, now))
        if job is None:
            return []
        began = time.monotonic()
        try:
            ranges, count = _do(entry, job, now)
        except Exception as error:
            told = error  # the name goes with its block, before it is noted
            _patiently(lambda: _note_trouble(entry, job, told))
            return []
        _patiently(lambda: finish(job, count, timezone.now()))
        if count or ranges:
            figures = {"count": count, "ranges": len(ranges)}
            log.info("done", extra=figures | {"seconds": round(time.monotonic() - began, 3)})
        return ranges


def _do(entry: Entry, job: Job, now: datetime) -> tuple[list[Job], int]:
    if entry.by_ranges and not job.fans:
        return lay_out(entry, job.turn or now), 0
    return [], entry.run(now, job.fans)


def _note_trouble(entry: Entry, job: Job, error: Exception) -> None:
    now = timezone.now()
    if isinstance(error, PASSES):
        if put_off(job, str(error), now):
            log.warning("put off, tried again in a minute: %s", error)
    elif isinstance(error, SoftTimeLimitExceeded):
        if fail(job, f"It ran out of its time ({entry.limit}).", now):
            log.error("ran out of its time, %s", entry.limit)
    elif fail(job, f"{type(error).__name__}: {error}", now):
        log.error("failed; try %s", job.tries, exc_info=error)


def _patiently(ask: Callable[[], T]) -> T:
    """Ask the ledger, on a connection that lives; a database that restarts is waited for."""
    for wait_s in AWAY_S:
        _drop_dead_connection()
        try:
            return ask()
        except AWAY as error:
            log.warning("the database is away: %s", error)
            time.sleep(wait_s)
    _drop_dead_connection()
    return ask()


def _drop_dead_connection() -> None:
    """Connect anew where the database has gone; a caller's transaction is the caller's."""
    if not connection.in_atomic_block:
        close_old_connections()
