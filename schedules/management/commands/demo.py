"""Put an invented fleet on record and print its due list: the quickest look at what this does."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from datetime import date, datetime
from pathlib import Path
from time import perf_counter
from typing import Any, TextIO, cast
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from schedules.demo.county import ZONE
from schedules.demo.found import (
    DemoError,
    demo_day,
    import_demo,
    make_files,
    moment_of,
    refuse_beside_others,
)
from schedules.demo.published import WEEKS, publish_past_weeks
from schedules.demo.supplied import supply_one
from schedules.demo.world import FANS, least_fans
from schedules.due.reckoning import reckon_fleet
from schedules.terminal import write_due_list

LISTED = 40
"""Enough for all that is overdue and the rest of the week."""


class Command(BaseCommand):
    """An invented county with 18 months of history, alive today."""

    help = (
        "Create the database where it is missing, import the demo fleet (an invented county: "
        "3 owners, 40 kitchens, 18 months of visits) through the imports that users have, reckon, "
        "and print the due list. Run again, it changes nothing and prints the list anew. Refused "
        "where owners of your own are on record: the demo wants a DATA_DIR of its own."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--today", type=day, help="the day to stand on (today), as 2026-06-15")
        parser.add_argument("--fans", type=int, default=FANS, help=f"how many fans ({FANS})")
        parser.add_argument(
            "--keep", action="store_true", help="keep the two files imported, to look at"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        began = perf_counter()
        self._tell("Preparing the database …")
        call_command("migrate", verbosity=0)
        try:
            refuse_beside_others()
        except DemoError as error:
            raise CommandError(str(error)) from error
        now = moment_of(options["today"]) if options["today"] else timezone.now()
        made_for = demo_day()
        if made_for is None:
            self._found(now, options["fans"], keep=options["keep"])
        else:
            self._tell(f"The demo fleet made for {made_for} is on record already; nothing changed.")
        report = reckon_fleet(now=now, only_stale=False)
        if report.failed:
            raise CommandError(f"{report.failed} fans could not be reckoned; see the log above")
        if stops := publish_past_weeks(now=now):
            self._tell(f"Published the {WEEKS} weeks before, {stops} stops: see Done.")
        write_due_list(cast(TextIO, self.stdout), now=now, most=LISTED)
        self._tell(f"\nMade in {perf_counter() - began:.1f} s.")
        self._tell(f"See it in a browser: {_python()} manage.py serve")

    def _found(self, now: datetime, fans: int, *, keep: bool) -> None:
        if fans < least_fans():
            raise CommandError(
                f"{fans} fans do not hold the stories; ask for {least_fans()} or more"
            )
        self._tell(f"Inventing {fans} fans and 18 months of visits …")
        files = make_files(now.astimezone(ZoneInfo(ZONE)).date(), fans)
        if keep:
            folder = Path(settings.DATA_DIR) / "demo"
            folder.mkdir(parents=True, exist_ok=True)
            (folder / "fleet.csv").write_bytes(files.fleet)
            (folder / "visits.jsonl").write_bytes(files.visits)
            self._tell(f"Kept fleet.csv and visits.jsonl in {folder}")
        try:
            import_demo(files=files, now=now, tell=self._tell)
        except DemoError as error:
            raise CommandError(str(error)) from error
        supply_one(now=now)

    def _tell(self, line: str) -> None:
        self.stdout.write(line)
        self.stdout.flush()


def day(text: str) -> date:
    """A day as typed; argparse names this function where it is none."""
    return date.fromisoformat(text)


def _python() -> str:
    """The interpreter as somebody in this folder would type it."""
    python = Path(sys.executable)
    return str(python.relative_to(Path.cwd()) if python.is_relative_to(Path.cwd()) else python)
