"""Where ways begin and end: sites with coordinates, and technicians' bases."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from django.utils.translation import gettext as _

from fleet.models import Person, Site, technicians
from schedules.engine.rounds.travel import great_circle_m
from schedules.models import TravelPlace

Key = tuple[str, int]
"""``site`` or ``base``, and the id of the site or technician."""
SITE, BASE = "site", "base"
MOVED_M = 100.0
"""A place that far from where it was has moved; less corrects a coordinate.  Our choice."""


@dataclass(frozen=True)
class Places:
    """All that ways can be told of, as it is now; two queries."""

    sites: Mapping[int, Site]
    people: Mapping[int, Person]

    @staticmethod
    def now() -> Places:
        sites = Site.objects.exclude(latitude=None).select_related("owner")
        people = technicians().filter(working_week__isnull=False)
        return Places(sites.in_bulk(), people.select_related("working_week").in_bulk())

    @cached_property
    def positions(self) -> Mapping[Key, tuple[float, float]]:
        """Latitude and longitude [degrees]."""
        return positions_of(self.sites.values(), self.people.values())

    def name(self, key: Key) -> str:
        """``Quay Street``, with its owner where two share a name; ``base of Jo Park``."""
        kind, pk = key
        if kind == BASE:
            return _("base of {name}").format(name=self.people[pk].called)
        site = self.sites[pk]
        if self._shared[site.name.casefold()] > 1:
            return f"{site.owner.name} / {site.name}"
        return site.name

    @cached_property
    def _shared(self) -> Mapping[str, int]:
        return Counter(site.name.casefold() for site in self.sites.values())


def positions_of(
    sites: Iterable[Site], people: Iterable[Person]
) -> Mapping[Key, tuple[float, float]]:
    """Latitude and longitude [degrees] of sites with coordinates, and of bases of who has one."""
    bases = (each.working_week for each in people if hasattr(each, "working_week"))
    placed = {(SITE, each.pk): each.position for each in sites if each.position}
    return {**placed, **{(BASE, each.technician_id): each.position for each in bases}}


def has_moved(place: TravelPlace, position: tuple[float, float]) -> bool:
    """Whether a place is elsewhere than when its ways were told."""
    return are_apart((place.latitude, place.longitude), position)


def are_apart(one: tuple[float, float], other: tuple[float, float]) -> bool:
    """Whether these are two places."""
    return one != other and float(great_circle_m(one, other)) > MOVED_M
