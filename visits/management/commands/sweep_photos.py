"""Throw out files of photos that never came on record."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from visits.services import sweep_photo_files


class Command(BaseCommand):
    """What is left of phones that broke off while they sent."""

    help = (
        "Throw out files of photos that no photo on record names: left by a sender or a server "
        "that broke off. Only those older than a day; photos taken out keep theirs. The timetable "
        "of serve and of workers does it each night."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--json", action="store_true", help="print the figure as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        swept = sweep_photo_files(now=timezone.now())
        told = json.dumps({"files": swept}) if options["json"] else f"{swept} files thrown out."
        self.stdout.write(told)
