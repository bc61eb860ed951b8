"""Reckon due dates from what is on record."""

from __future__ import annotations

import json
from argparse import ArgumentParser, ArgumentTypeError
from dataclasses import asdict
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from schedules.due.reckoning import reckon_fleet


def fan_range(text: str) -> tuple[int, int]:
    """Two numbers of fans, the first not after the last."""
    first, _, last = text.partition("-")
    if not (first.isdecimal() and last.isdecimal() and 0 < int(first) <= int(last) < 2**63):
        raise ArgumentTypeError(f"{text!r} is no range of fans; write it like 120-170")
    return int(first), int(last)


class Command(BaseCommand):
    """Reckon touched fans, every fan, or everything anew from the record."""

    help = (
        "Reckon when each fan is due and why. Without options only fans touched since their last "
        "reckoning; --all takes every fan; --from-truth also throws the packed histories away and "
        "builds them again from the record, which must change nothing."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--all", action="store_true", help="every fan, not only touched ones")
        parser.add_argument(
            "--from-truth", action="store_true", help="rebuild packed histories (implies --all)"
        )
        parser.add_argument(
            "--fans", type=fan_range, metavar="FIRST-LAST",
            help="only fans with these numbers, as the status page names them: 120-170",
        )  # fmt: skip
        parser.add_argument("--json", action="store_true", help="print the figures as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        everything = options["all"] or options["from_truth"]
        report = reckon_fleet(
            now=timezone.now(), only_stale=not everything, from_truth=options["from_truth"],
            fans=options["fans"],
        )  # fmt: skip
        if options["json"]:
            self.stdout.write(json.dumps(asdict(report)))
            return
        fans = "1 fan" if report.fans == 1 else f"{report.fans} fans"
        dates = "1 date" if report.changed == 1 else f"{report.changed} dates"
        self.stdout.write(
            f"{fans} reckoned, {dates} changed, {report.failed} could not be reckoned, "
            f"in {report.seconds:.2f} s"
        )
