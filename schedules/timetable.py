"""What runs by itself and when, in UTC; workers and the thread of ``serve`` read the same table."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from celery.schedules import crontab
from django.db import close_old_connections
from django.utils import timezone

from schedules.tasks import (
    reckon_all_fans,
    reckon_changed_fans,
    send_owed_notices,
    sweep_photos,
    write_owed_notices,
)

log = logging.getLogger(__name__)
WAKE_S = 20.0


@dataclass(frozen=True)
class Entry:
    """One line of the timetable."""

    name: str
    run: Callable[[], object]
    when: crontab


TIMETABLE: tuple[Entry, ...] = (
    Entry("reckon changed fans", reckon_changed_fans, crontab(minute="*/10")),
    Entry("reckon every fan", reckon_all_fans, crontab(minute="30", hour="3", day_of_week="sun")),
    Entry("write notices", write_owed_notices, crontab(minute="5,35")),
    Entry("send notices", send_owed_notices, crontab(minute="*/2")),
    Entry("sweep photos", sweep_photos, crontab(minute="50", hour="2")),
)


def due_entries(last: dict[str, datetime], now: datetime) -> list[Entry]:
    """Entries whose next time after their last run has come."""
    return [entry for entry in TIMETABLE if _next_run(entry, last[entry.name]) <= now]


def _next_run(entry: Entry, last: datetime) -> datetime:
    start, delta, _ = entry.when.remaining_delta(last)
    moment: datetime = start + delta
    return moment


class TimetableThread(threading.Thread):
    """Runs the timetable in this process until told to stop; a failing job never ends it."""

    def __init__(self) -> None:
        super().__init__(name="timetable", daemon=True)
        self.stopped = threading.Event()

    def run(self) -> None:
        last = {entry.name: timezone.now() for entry in TIMETABLE}
        self._run_entry(TIMETABLE[0])
        while not self.stopped.wait(WAKE_S):
            now = timezone.now()
            for entry in due_entries(last, now):
                last[entry.name] = now
                self._run_entry(entry)

    def stop(self, timeout_s: float = 30.0) -> None:
        """Let the job in hand finish, then end."""
        self.stopped.set()
        self.join(timeout_s)

    def _run_entry(self, entry: Entry) -> None:
        close_old_connections()
        try:
            entry.run()
        except Exception:
            log.exception("%s failed; it runs again at its next time", entry.name)
        finally:
            close_old_connections()
