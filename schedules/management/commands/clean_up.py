"""Throw out rows that nobody can use any more."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from dataclasses import asdict
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from schedules.jobs.clean_up import CHANGES_KEPT, LINKS_KEPT, clean_up


class Command(BaseCommand):
    """What is past its time."""

    help = (
        f"Throw out changes of dates older than {CHANGES_KEPT.days} days, sessions and devices' "
        "keys past their time, wrong passwords and guessed links that no longer keep anybody out, "
        f"and owners' links that ended {LINKS_KEPT.days} days ago or more and by which nobody "
        "answered. The record of visits is never touched. The timetable does it each night."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--json", action="store_true", help="print the figures as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        cleaned = clean_up(now=timezone.now())
        if options["json"]:
            self.stdout.write(json.dumps(asdict(cleaned)))
            return
        self.stdout.write(
            f"Thrown out: {cleaned.changes} old changes, {cleaned.sessions} sessions, "
            f"{cleaned.keys} keys, {cleaned.attempts} wrong passwords, {cleaned.guesses} counts of "
            f"guessed links, {cleaned.links} owners' links."
        )
