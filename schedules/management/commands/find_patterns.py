"""Find what keeps failing."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from dataclasses import asdict
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from schedules.engine.failures.recurring import DEFAULT_RECURRING
from schedules.patterns.finding import find_patterns


class Command(BaseCommand):
    """Raise, bring up to date and let lapse patterns over the whole fleet."""

    help = (
        "Hold the losses of function of every fan, item by item, against those of all other fans "
        "with the same motor type and drive. A pattern is raised where one item failed twice "
        f"within {DEFAULT_RECURRING.again_months} months, or so often that of all patterns raised "
        f"that way at most {DEFAULT_RECURRING.false_share:.0%} are expected to be chance "
        "(Benjamini and Hochberg). Call-backs are left out, and so are findings without a loss of "
        "function. A pattern stays open until somebody closes it with a cause or a reason, and "
        "closed until that item fails anew; one whose failures were corrected away lapses. Run "
        "again at once it changes nothing. The timetable does it each night. For example: "
        "find_patterns --json."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--json", action="store_true", help="print the figures as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        found = find_patterns(now=timezone.now())
        if options["json"]:
            self.stdout.write(json.dumps(asdict(found)))
            return
        self.stdout.write(
            f"{found.losses} losses of function on {found.fans} fans: {found.raised} patterns "
            f"raised, {found.raised_again} raised again, {found.updated} brought up to date, "
            f"{found.lapsed} lapsed, {found.followed} moved by a cause that a visit told; "
            f"{found.open} stand open. {found.tallied} counts by item, model and site written."
        )
