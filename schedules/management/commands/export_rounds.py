"""Put a week's rounds out as a table, for a map or for programs."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from collections.abc import Callable
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from config.whole_files import whole_file
from schedules.models import DRAFT, PlanVersion, WeekPlan
from schedules.rounds.clocks import week_named
from schedules.rounds.drafts import latest_published
from schedules.rounds.errors import WeekPlanError
from schedules.rounds.mapped import geojson_of
from schedules.rounds.sheet import WeekSheet, as_json
from schedules.rounds.tabled import csv_of

KINDS: dict[str, Callable[[WeekSheet], bytes]] = {
    "csv": csv_of,
    "geojson": lambda sheet: json.dumps(geojson_of(sheet)).encode(),
    "json": lambda sheet: json.dumps(as_json(sheet)).encode(),
}


class Command(BaseCommand):
    """A version of a week's rounds as CSV, GeoJSON or JSON."""

    help = (
        "Write out a week's rounds: csv for a spreadsheet, one row for each stop; geojson "
        "(RFC 7946) for a map, sites as points and rounds as lines; json for programs, with what "
        "is left out and why. It is the version published last, where nothing else is said.\n"
        "  manage.py export_rounds --week 2026-W50 --as csv rounds.csv\n"
        "  manage.py export_rounds --week 2026-W50 --draft --as geojson -"
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", nargs="?", default="-", help="where to; - (default): printed")
        parser.add_argument("--week", required=True, help="the ISO week, as 2026-W50")
        which = parser.add_mutually_exclusive_group()
        which.add_argument("--published", metavar="NUMBER", type=int, help="that version")
        which.add_argument("--draft", action="store_true", help="the draft as it stands")
        parser.add_argument("--as", dest="kind", choices=sorted(KINDS), default="csv")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            plan = WeekPlan.objects.filter(monday=week_named(options["week"])).first()
        except WeekPlanError as error:
            raise CommandError(str(error)) from error
        if plan is None:
            raise CommandError(f"nothing is planned for {options['week']}; plan_rounds plans it")
        told = KINDS[options["kind"]](WeekSheet(_version(plan, options)))
        if options["file"] == "-":
            sys.stdout.buffer.write(told)
            return
        with whole_file(Path(options["file"])) as file:
            file.write(told)


def _version(plan: WeekPlan, options: dict[str, Any]) -> PlanVersion:
    number = DRAFT if options["draft"] else options["published"]
    if number is None:
        version = latest_published(plan)
    else:
        version = plan.versions.filter(number=number).first()
    if version is None:
        known = ", ".join(str(each.number or "a draft (--draft)") for each in plan.versions.all())
        raise CommandError(f"{plan} has no such version; it has: {known}")
    return version
