"""Print what is due, by when and why."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from difflib import get_close_matches
from typing import Any, TextIO, cast

from django.core.management.base import BaseCommand, CommandError
from django.db.models import Model, QuerySet
from django.utils import timezone

from fleet.models import Owner, Site
from schedules.api.due import tell_lines
from schedules.due.lists import DueFilters, due_page
from schedules.models import DueState
from schedules.terminal import days_everywhere, write_due_list

SHOWN = 40
MOST = 5_000


class Command(BaseCommand):
    """The due list of the whole fleet, or of one owner or site."""

    help = (
        "Print the due list: overdue fans first, then what is due within a week, then the rest, "
        "stops first in each; of every fan the day, what drives it and what stands open.\n"
        "  manage.py due_list --owner 'Ashdown Kitchens' --within 30"
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--owner", help="only fans of the owner of this name")
        parser.add_argument("--site", help="only fans of the site of this name")
        parser.add_argument("--overdue", action="store_true", help="only what is overdue")
        parser.add_argument(
            "--within", type=int, metavar="DAYS", help="only what is due by so many days from today"
        )
        parser.add_argument(
            "--most", type=int, default=SHOWN, help="so many fans at most (default %(default)s)"
        )
        parser.add_argument(
            "--json", action="store_true", help="the same as JSON, a list of fans as the API has it"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        filters, most, now = _filters(options), _most(options["most"]), timezone.now()
        if not options["json"]:
            write_due_list(cast(TextIO, self.stdout), now=now, most=most, filters=filters)
            return
        page = due_page(
            DueState.objects.all(), days=days_everywhere(now), filters=filters, size=most,
            whole=True,
        )  # fmt: skip
        self.stdout.write(json.dumps(tell_lines(page.lines, for_us=True)))


def _filters(options: dict[str, Any]) -> DueFilters:
    within = options["within"]
    if within is not None and not 0 <= within <= 3660:
        raise CommandError(f"--within is {within}; give 0 to 3660 days")
    owner = _named(Owner.objects.all(), "owner", options["owner"])
    sites = Site.objects.all() if owner is None else Site.objects.filter(owner=owner)
    site = _named(sites, "site", options["site"])
    return DueFilters(
        owner=owner and owner.pk, site=site and site.pk, within_days=within,
        overdue=options["overdue"],
    )  # fmt: skip


def _most(most: int) -> int:
    if not 1 <= most <= MOST:
        raise CommandError(f"--most is {most}; give 1 to {MOST}")
    return most


def _named(rows: QuerySet[Any], what: str, name: str | None) -> Any:
    """The one row of this name, capitals forgiven; None where none was asked for."""
    if name is None:
        return None
    found: list[Model] = list(rows.filter(name__iexact=name.strip())[:2])
    if len(found) == 1:
        return found[0]
    if found:
        raise CommandError(f"several owners have a site {name!r}; give --owner as well")
    near = get_close_matches(name, rows.values_list("name", flat=True), n=1, cutoff=0.6)
    remedy = f"did you mean {near[0]!r}?" if near else "names are as in the register"
    raise CommandError(f"no {what} is called {name!r}; {remedy}")
