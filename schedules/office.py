"""Where the company's own people are: by whose clock and in whose holidays they are written to."""

from __future__ import annotations

from dataclasses import dataclass
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db.models import Count

from fleet.models import Site


@dataclass(frozen=True)
class Office:
    """The office's zone, and the country whose holidays it keeps (ISO 3166-1, two letters)."""

    zone: ZoneInfo
    country: str


def office() -> Office:
    """As OFFICE_TIME_ZONE says, else where most sites stand; one query."""
    places = Site.objects.order_by().values_list("time_zone", "country")
    counted = list(places.annotate(sites=Count("pk")).order_by("-sites", "time_zone", "country"))
    zone = settings.OFFICE_TIME_ZONE or _most([(each, sites) for each, _, sites in counted], "UTC")
    near = [(country, sites) for each, country, sites in counted if each == zone]
    anywhere = [(country, sites) for _, country, sites in counted]
    return Office(ZoneInfo(zone), _most(near or anywhere, "US"))


def _most(counted: list[tuple[str, int]], default: str) -> str:
    """The name that most sites have."""
    totals: dict[str, int] = {}
    for name, sites in counted:
        totals[name] = totals.get(name, 0) + sites
    return max(totals, key=lambda name: totals[name], default=default)
