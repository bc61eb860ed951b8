"""Plan a week's rounds and print them as a sheet."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from datetime import date, datetime, timedelta
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from fleet.models import Person
from schedules.models import DRAFT, PlanVersion
from schedules.rounds.clocks import week_named
from schedules.rounds.gathering import clock_of
from schedules.rounds.services.asked import REFUSED
from schedules.rounds.services.editing import Who
from schedules.rounds.services.planning import SECONDS, Search, WeekPlanned, plan_week
from schedules.rounds.services.publishing import Published, publish_week
from schedules.rounds.sheet import WeekSheet, as_json
from schedules.rounds.terminal import sheet_text
from schedules.terminal import terminal_width, write_plainly
from schedules.weeks import iso_week
from schedules.wording.bookings import booked_text, technician_name
from schedules.wording.differences import difference_text

LONGEST_S = 3600


class Command(BaseCommand):
    """Who goes where in a week, in what order, why, and who is left out and why."""

    help = (
        "Plan an ISO week: who goes where on which day, in what order, why this week, and which "
        "due fans are left out and why. What is planned becomes the week's draft; planned again, "
        "the search starts from there, pinned stops and published rounds stay.\n"
        "  manage.py plan_rounds --week 2026-W50\n"
        "  manage.py plan_rounds --week 2026-W50 --publish --by dov"
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--week", help="the ISO week, as 2026-W50 (default: the next one)")
        search = parser.add_mutually_exclusive_group()
        search.add_argument(
            "--seconds", type=float, help=f"how long to search (default {SECONDS:g})"
        )
        search.add_argument(
            "--iterations", type=int, help="how far to search: the same plan each time"
        )
        parser.add_argument(
            "--fresh", action="store_true", help="let go of what is neither pinned nor published"
        )
        parser.add_argument(
            "--refill", action="store_true", help="let stops be added to published rounds"
        )
        parser.add_argument(
            "--publish", action="store_true", help="publish the draft: technicians are told"
        )
        parser.add_argument("--by", metavar="USERNAME", help="who publishes")
        parser.add_argument("--json", action="store_true", help="the sheet as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        now = timezone.now()
        try:
            by = _publisher(options)
            monday = week_named(options["week"]) if options["week"] else _next_monday(now)
            planned = plan_week(monday=monday, by=by, now=now, search=_search(options))
            published = None
            if by is not None and options["publish"]:
                published = publish_week(Who(monday, planned.revision, by, now))
        except REFUSED as error:
            raise CommandError(str(error)) from error
        version = PlanVersion.objects.select_related("plan").get(
            plan__monday=monday, number=published.version.number if published else DRAFT
        )
        sheet = WeekSheet(version)
        if options["json"]:
            self.stdout.write(json.dumps(as_json(sheet)))
            return
        write_plainly(self.stdout, "\n" + sheet_text(sheet, terminal_width()))
        for line in (*_beside(planned), *(_told(published) if published else ())):
            write_plainly(self.stdout, f"{line}\n")
        if not published:
            week = iso_week(monday)
            told = f"Publish: manage.py plan_rounds --week {week} --publish --by USERNAME"
            write_plainly(self.stdout, f"{told}\n")


def _publisher(options: dict[str, Any]) -> Person | None:
    name = options["by"]
    if name is None:
        if options["publish"]:
            raise CommandError("--publish books technicians; say who does with --by USERNAME")
        return None
    person = Person.objects.filter(username=name, is_active=True).first()
    if person is None or not person.plans:
        known = Person.objects.filter(role__in=("manager", "dispatcher"), is_active=True)
        names = ", ".join(known.values_list("username", flat=True)[:5]) or "none yet"
        raise CommandError(f"{name!r} is nobody who plans; those who do: {names}")
    return person


def _search(options: dict[str, Any]) -> Search:
    seconds, iterations = options["seconds"], options["iterations"]
    if seconds is not None and not 0 < seconds <= LONGEST_S:
        raise CommandError(f"--seconds is {seconds:g}; give more than 0 and at most {LONGEST_S}")
    if iterations is not None and not 0 <= iterations <= 10_000_000:
        raise CommandError(f"--iterations is {iterations}; give 0 to 10000000")
    if seconds is None and iterations is None:
        seconds = SECONDS
    return Search(
        fresh=options["fresh"], refill=options["refill"], seconds=seconds, iterations=iterations
    )


def _next_monday(now: datetime) -> date:
    """Of the next working week: on a Monday that day."""
    today = clock_of(now.date(), now).today
    return today + timedelta(days=-today.weekday() % 7)


def _beside(planned: WeekPlanned) -> list[str]:
    told = [
        f"Beside this plan: {booked_text(booking)} at {booking.site.name}, for nobody can route it."
        for booking in planned.beside
    ]
    told += [
        f"Not sent: {technician_name(person)} has no home base and working hours; enter them in "
        "the admin, People."
        for person in planned.without_week
    ]
    return told + [
        f"Not reached: {site.name} has no coordinates; enter them in the admin, Sites."
        for site in planned.unplaced
    ]


def _told(published: Published) -> list[str]:
    told = [
        f"Published as version {published.version.number}: {published.made} bookings made, "
        f"{published.moved} moved, {published.withdrawn} withdrawn."
    ]
    told += [f"  {difference_text(each)}" for each in published.differences
             if published.version.number > 1]  # fmt: skip
    return told
