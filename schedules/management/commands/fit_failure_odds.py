"""Fit how often fans of each drive fail, and what their record teaches of waiting."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from schedules.due.failure_classes import fit_failure_classes
from schedules.due.hazards import learn_hazards


class Command(BaseCommand):
    """What rule 8 thinks of a fan before its own record counts, and what waiting is reckoned by."""

    help = (
        "Fit how often fans of each drive lose their function, over all that is on record, and "
        "mark the fans whose dates rest on it; the next reckoning takes these up. Then learn how "
        "much oftener fans fail with something open, and how many failures a walk-through would "
        "have seen coming: what waiting costs rests on that. The timetable does both each week."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        now = timezone.now()
        fitted = fit_failure_classes(now=now)
        for each in fitted.classes:
            told = f"{each.drive}: {each.failures} failures of {each.fans} fans"
            if each.shape is None:
                self.stdout.write(f"{told}, too few to fit a prior")
            else:
                self.stdout.write(f"{told}, {each.mean_a_year:g} a year, shape {each.shape:g}")
        fans = "1 fan" if fitted.touched == 1 else f"{fitted.touched} fans"
        self.stdout.write(f"{fans} to be reckoned again")
        for row in learn_hazards(now=now):
            by = "learned" if row.is_learned else "too few to learn from, our choice"
            self.stdout.write(f"{row.name}: {row.seen:g} of {row.of:.3g}, {row.figure:g} ({by})")
