"""Workers that die of fan 3: ``celery -A tests.jobs.deadly worker``."""

import os
import signal
from typing import Any

from celery.signals import worker_process_init

import config.wsgi  # noqa: F401  # sets Django up
from config.celery import app as app
from schedules.jobs import timetable

FAN = 3


@worker_process_init.connect
def bring_death(**_: Any) -> None:
    """Replace what reckons a range by what kills its process where that fan is in it."""
    reckon_fleet = timetable.reckon_fleet

    def deadly(*, fans: tuple[int, int], **told: Any) -> Any:
        if fans[0] <= FAN <= fans[1]:
            os.kill(os.getpid(), signal.SIGKILL)
        return reckon_fleet(fans=fans, **told)

    timetable.reckon_fleet = deadly
