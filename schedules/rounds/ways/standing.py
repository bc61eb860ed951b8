"""How old the travel times are that a week goes by, and which of its sites have none."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence

from django.db.models import Count, Max, Min
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.models import Person, Site
from schedules.models import TravelPlace, TravelTime
from schedules.rounds.clocks import WeekClock
from schedules.rounds.ways.places import SITE, Key, has_moved, positions_of
from schedules.wording.days import day_text

MOST = 10
"""So many sites are named, the rest counted."""


def ways_texts(
    sites: Collection[Site], people: Iterable[Person], clock: WeekClock
) -> Iterator[str]:
    """When the ways of a week's places were brought, and whose are estimated; four queries."""
    positions = positions_of(sites, people)
    rows = [row for row in TravelPlace.objects.order_by() if row.key in positions]
    moved = {row.key for row in rows if has_moved(row, positions[row.key])}
    hold = {row.pk: row.key for row in rows if row.key not in moved}
    ways = TravelTime.objects.order_by().filter(start__in=hold, end__in=hold)
    age = ways.aggregate(first=Min("entered_at"), last=Max("entered_at"))
    if age["first"] is None:
        yield _("None of this week's is on record: all ways are estimated.")
        return
    first, last = (each.astimezone(clock.zone).date() for each in (age["first"], age["last"]))
    days = (clock.today - first).days
    told = ngettext("brought {first} to {last}, the oldest {days} day ago.",
                    "brought {first} to {last}, the oldest {days} days ago.", days)  # fmt: skip
    if first == last:
        told = ngettext("brought {last}, {days} day ago.", "brought {last}, {days} days ago.", days)
    sentence = told.format(first=day_text(first), last=day_text(last), days=days)
    yield _("Those of this week's places were {brought}").format(brought=sentence)
    known: Counter[Key] = Counter()
    for end in ("start", "end"):
        for pk, count in ways.values_list(end).annotate(Count("pk")):
            known[hold[pk]] += count
    every = 2 * (len(positions) - 1)
    named = {(SITE, site.pk): site.name for site in sites}
    lacking = [key for key in named if key in positions and known[key] < every]
    for sentence, names in (
        (_("No travel time at all, so estimated: {sites}."),
         [named[key] for key in lacking if not known[key] and key not in moved]),
        (_("Moved since, so estimated until they are brought again: {sites}."),
         [named[key] for key in lacking if key in moved]),
        (_("Some ways lack and are estimated: {sites}."),
         [named[key] for key in lacking if known[key]]),
    ):  # fmt: skip
        if names:
            yield sentence.format(sites=_some(sorted(names)))


def _some(names: Sequence[str]) -> str:
    told = ", ".join(names[:MOST])
    if (more := len(names) - MOST) > 0:
        told += " " + ngettext("and {count} more", "and {count} more", more).format(count=more)
    return told
