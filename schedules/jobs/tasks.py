"""Jobs as one more doorway: one task, which does whatever of the timetable it is handed."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from celery import shared_task
from django.utils import timezone

from schedules.jobs.running import run_job
from schedules.jobs.timetable import ENTRIES, Fans

KILL_AFTER_S = 30
"""A job that has not ended so long after being told to is killed with its process."""
STALE = timedelta(hours=1)
"""A message so old is thrown away; the timetable has sent others."""


@shared_task(bind=True)
def do_job(self: Any, entry: str, fans: list[int] | None, turn: str) -> None:
    """Do a turn of the timetable, or a range of fans of one, unless it is done or in hand."""
    at = datetime.fromisoformat(turn)
    chosen = (fans[0], fans[1]) if fans else None
    for left in run_job(entry, chosen, at, self.request.id, timezone.now()):
        hand_out(left.entry, left.fans, at)


def hand_out(entry: str, fans: Fans | None, turn: datetime) -> None:
    """Have the job done: by a worker where there is a broker, else here and now."""
    limit_s = int(ENTRIES[entry].limit.total_seconds())
    do_job.apply_async(
        (entry, fans, turn.isoformat()),
        soft_time_limit=limit_s,
        time_limit=limit_s + KILL_AFTER_S,
        expires=STALE.total_seconds(),
        retry=False,
    )
