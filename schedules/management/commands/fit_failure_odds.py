"""Fit how often fans of each drive fail."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from schedules.due.failure_classes import fit_failure_classes


class Command(BaseCommand):
    """What rule 8 thinks of a fan before its own record counts."""

    help = (
        "Fit how often fans of each drive lose their function, over all that is on record, and "
        "mark the fans whose dates rest on it; the next reckoning takes these up. The timetable "
        "does it each week."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        fitted = fit_failure_classes(now=timezone.now())
        for each in fitted.classes:
            told = f"{each.drive}: {each.failures} failures of {each.fans} fans"
            if each.shape is None:
                self.stdout.write(f"{told}, too few to fit a prior")
            else:
                self.stdout.write(f"{told}, {each.mean_a_year:g} a year, shape {each.shape:g}")
        fans = "1 fan" if fitted.touched == 1 else f"{fitted.touched} fans"
        self.stdout.write(f"{fans} to be reckoned again")
