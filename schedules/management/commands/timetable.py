"""Run the timetable: hand out to the workers, or do, whatever is to be done now."""

from __future__ import annotations

import signal
import threading
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone
from kombu.exceptions import OperationalError

from schedules.jobs.status import late_entries
from schedules.jobs.waking import TimetableThread, wake


class Command(BaseCommand):
    """One process of its own for the timetable; any number may run."""

    help = (
        "Run the timetable until Ctrl-C or SIGTERM: with REDIS_URL its jobs go to the workers, "
        "without it they run here. Which turn is done lies in the database, so that two "
        "timetables do nothing twice, and a turn missed is made up once. The serve command runs "
        "the same timetable beside its pages."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        only = parser.add_mutually_exclusive_group()
        only.add_argument(
            "--once", action="store_true", help="what is to be done now, then end: for cron"
        )
        only.add_argument(
            "--check", action="store_true", help="run nothing; exit 1 where jobs stand still"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if options["check"]:
            self._check()
        elif options["once"]:
            try:
                jobs = wake(timezone.now())
            except OperationalError as error:
                raise CommandError(
                    f"The broker takes no jobs ({error}). Check REDIS_URL, and that Redis runs; "
                    "nothing is lost."
                ) from error
            self.stdout.write("1 job handed out." if jobs == 1 else f"{jobs} jobs handed out.")
        else:
            _run_until_told()

    def _check(self) -> None:
        late = late_entries(timezone.now())
        if late:
            raise CommandError(
                f"Not done when they should have been: {', '.join(late)}. See that a timetable "
                "and a worker run, and what the status page says."
            )
        self.stdout.write("Every job was taken up when it should be.")


def _run_until_told() -> None:
    timetable, stop = TimetableThread(), threading.Event()
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, lambda *_: stop.set())
    timetable.start()
    stop.wait()
    timetable.stop()
