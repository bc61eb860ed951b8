"""What a worker does, over and over in a process of its own, for proofs that kill it."""

from __future__ import annotations

import logging
import os
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import close_old_connections, connections
from django.utils import timezone

from schedules.due.reckoning import reckon_fleet
from schedules.jobs.waking import wake
from schedules.notices.sending import send_notices

log = logging.getLogger(__name__)


@dataclass(frozen=True)
class QuickClock:
    """A clock that ran true until ``since`` and has been ``speed`` times too fast from then on.

    Leases and waits of minutes then pass in seconds, unchanged and in step in all processes.
    """

    since: datetime
    speed: float = 1.0

    def __call__(self) -> datetime:
        passed = timezone.now() - self.since
        return self.since + timedelta(seconds=passed.total_seconds() * self.speed)


def work_on(works: list[Callable[[], object]], pause_s: float) -> None:
    """Do these in turn until the process that started this one is gone; trouble ends nothing."""
    parent = os.getppid()
    while os.getppid() == parent:
        for work in works:
            close_old_connections()
            try:
                work()
            except Exception:
                log.exception("failed; it is done again")
            finally:
                close_old_connections()
        time.sleep(pause_s)


def keep_forked(count: int, work: Callable[[], None]) -> None:
    """Have so many processes forked from this one at work, with their ids told on stdout.

    Whoever is killed is replaced.  Each asks the database on a connection of its own.
    """
    connections.close_all()
    alive: set[int] = set()
    while True:
        while len(alive) < count:
            child = os.fork()
            if child == 0:
                work()
                os._exit(0)
            alive.add(child)
            os.write(1, f"{child}\n".encode())
        alive.discard(os.wait()[0])


def works_of(names: list[str], clock: QuickClock) -> list[Callable[[], object]]:
    """The works with these names: ``send`` what is owed, ``reckon`` every fan, ``wake``
    as the timetable does.
    """
    known: dict[str, Callable[[], object]] = {
        "send": lambda: send_notices(clock=clock),
        "wake": lambda: wake(clock()),
        "reckon": lambda: reckon_fleet(now=clock(), only_stale=False),
    }
    return [known[name] for name in names]
