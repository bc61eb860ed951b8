"""Sites with what is due on their roofs: the list of them, and one of them whole."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Count, Max, Min, Q, QuerySet

from fleet.models import Agreement, CookingPeriod, ExhaustSystem, ExpectedCleaning, Site
from schedules.due.bought import agreement_in_force, agreement_year, walks_since
from schedules.due.lines import DueLine, lines_of, section_of
from schedules.due.lists import PageKeyError, overdue
from schedules.due.local_days import LocalDays
from schedules.models import DueState
from visits.models import Event, Visit, VisitAnswer

PAGE = 50
NEWEST = 12
LINE_FACTS = ("fans", "overdue", "due_on", "worst")


@dataclass(frozen=True)
class SiteLine:
    """One site of the list: its fans, how many are overdue, the first due day, the worst open."""

    site: Site
    fans: int = 0
    overdue: int = 0
    due_on: date | None = None
    worst: int = 0


@dataclass(frozen=True)
class SitePage:
    """Sites by name; ``next_id`` is the last one's, None on the last page."""

    lines: Sequence[SiteLine]
    next_id: int | None


def site_lines(
    sites: QuerySet[Site],
    *,
    days: LocalDays,
    search: str = "",
    after: str = "",
    size: int = PAGE,
) -> SitePage:
    """Sites somebody may see whose name, address or owner holds ``search``, after a given one.

    Raises PageKeyError where ``after`` is no site of theirs.
    """
    rows = sites.select_related("owner").order_by("name", "pk")
    if search:
        by_place = Q(name__icontains=search) | Q(address__icontains=search)
        rows = rows.filter(by_place | Q(owner__name__icontains=search))
    if after:
        last = _site_after(sites, after)
        rows = rows.filter(Q(name__gt=last.name) | Q(pk__gt=last.pk), name__gte=last.name)
    found = list(rows[: size + 1])
    told = _told_by_site(found[:size], days)
    lines = [SiteLine(site, **told.get(site.pk, {})) for site in found[:size]]
    return SitePage(lines, found[size - 1].pk if len(found) > size else None)


def _site_after(sites: QuerySet[Site], after: str) -> Site:
    known = sites.filter(pk=int(after)).first() if after.isdecimal() and len(after) < 19 else None
    if known is None:
        raise PageKeyError(
            f"{after[:60]!r} is no page of this list; start again from its first page."
        )
    return known


def _told_by_site(sites: Sequence[Site], days: LocalDays) -> dict[int, dict[str, Any]]:
    rows = DueState.objects.filter(site__in=[site.pk for site in sites]).order_by().values("site")
    told: Any = rows.annotate(
        fans=Count("fan_id"),
        overdue=Count("fan_id", filter=overdue(days)),
        due_on=Min("due_on"),
        worst=Max("worst_verdict"),
    )
    return {row["site"]: {name: row[name] for name in LINE_FACTS} for row in told}


@dataclass(frozen=True)
class SystemFans:
    """One exhaust system with its fans' lines; ``cooking`` are the classes in force today."""

    system: ExhaustSystem
    cooking: Sequence[str]
    cleaning: ExpectedCleaning | None
    lines: Sequence[DueLine]


@dataclass(frozen=True)
class Bought:
    """The agreement in force today, and the walk-throughs made here in its year."""

    agreement: Agreement
    year_on: date
    made: int


def systems_of(site: Site, days: LocalDays) -> list[SystemFans]:
    """The site's systems in order of name, each with its fans in order of due day."""
    today = days.of(site.time_zone)
    states = DueState.objects.filter(site=site).select_related("fan", "site", "owner")
    ordered = sorted(states, key=lambda s: (s.due_on or date.max, s.fan.tag))
    lines: dict[int, list[DueLine]] = defaultdict(list)
    for line in lines_of([(section_of(state, days), state) for state in ordered], days):
        lines[line.state.fan.system_id].append(line)
    cooking = _cooking(site, today)
    cleanings = _next_cleanings(site, today)
    return [
        SystemFans(system, cooking.get(system.pk, ()), cleanings.get(system.pk), lines[system.pk])
        for system in site.systems.order_by("name")
    ]


def _cooking(site: Site, today: date) -> Mapping[int, Sequence[str]]:
    """Classes in force by system; before the first entry's day the first holds."""
    found: dict[int, Sequence[str]] = {}
    for period in CookingPeriod.objects.filter(system__site=site).order_by("valid_from"):
        if period.valid_from <= today or period.system_id not in found:
            found[period.system_id] = period.classes
    return found


def _next_cleanings(site: Site, today: date) -> Mapping[int, ExpectedCleaning]:
    rows = ExpectedCleaning.objects.filter(system__site=site, day__gte=today).order_by("-day")
    return {row.system_id: row for row in rows}


def bought_for(site: Site, today: date) -> Bought | None:
    """What the agreement of today bought for this site; None without one."""
    agreements = list(Agreement.objects.filter(owner=site.owner_id).order_by("starts_on"))
    agreement = agreement_in_force(agreements, today)
    if agreement is None:
        return None
    year_on = agreement_year(agreement, today)
    return Bought(agreement, year_on, len(walks_since([site.pk], year_on).get(site.pk, ())))


SiteEntry = Visit | Event | VisitAnswer


def newest_entries(site: Site) -> list[SiteEntry]:
    """The last visits, events and answers to visits beyond those bought, newest first."""
    visits = Visit.objects.standing().filter(site=site).select_related("technician")[:NEWEST]
    events = Event.objects.standing().filter(site=site).select_related("fan", "system")[:NEWEST]
    answers = VisitAnswer.objects.filter(site=site).order_by("-received_at")[:NEWEST]
    entries: list[SiteEntry] = [*visits, *events, *answers]
    return sorted(entries, key=entry_day, reverse=True)[:NEWEST]


def entry_day(entry: SiteEntry) -> date:
    """The local day an entry belongs to."""
    match entry:
        case Visit():
            return entry.local_on
        case Event():
            return entry.ended_on
        case VisitAnswer():
            return entry.decided_on
