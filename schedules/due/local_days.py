"""What day it is where each site stands: "overdue" is asked with that day and never stored."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from functools import reduce
from operator import or_
from zoneinfo import ZoneInfo

from django.db.models import Q

NOBODY = Q(pk__in=())


@dataclass(frozen=True)
class LocalDays:
    """Today by time zone, at one moment; all zones of the world share at most three days."""

    by_zone: Mapping[str, date]

    def of(self, zone: str) -> date:
        """Today in a zone; KeyError for one that was not asked for."""
        return self.by_zone[zone]

    def matching(self, question: Callable[[date], Q]) -> Q:
        """Rows of which ``question`` holds on their own site's today; they need a ``site``."""
        zones: dict[date, list[str]] = defaultdict(list)
        for zone, day in self.by_zone.items():
            zones[day].append(zone)
        if len(zones) == 1:
            return question(next(iter(zones)))
        parts = (question(day) & Q(site__time_zone__in=names) for day, names in zones.items())
        return reduce(or_, parts, NOBODY)


def days_at(now: datetime, zones: Iterable[str]) -> LocalDays:
    """Each zone's day at the instant ``now``."""
    return LocalDays({zone: now.astimezone(ZoneInfo(zone)).date() for zone in zones})


def same_day(day: date, zones: Iterable[str]) -> LocalDays:
    """One day everywhere, for a list as of that day."""
    return LocalDays(dict.fromkeys(zones, day))
