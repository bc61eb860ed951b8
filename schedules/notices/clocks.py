"""One instant as clocks and calendars show it where sites stand."""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Exists, OuterRef, Q, QuerySet

from fleet.models import Fan, Site
from schedules.due.local_days import days_at
from schedules.notices.addressees import is_waking_hour, is_working_hour
from visits.models import Check


class Clocks:
    """Today, working and waking hours at every site, at the instant ``now``; asked once."""

    def __init__(self, now: datetime) -> None:
        places = set(Site.objects.order_by().values_list("time_zone", "country").distinct())
        local = {zone: now.astimezone(ZoneInfo(zone)) for zone, _ in places}
        self.now = now
        self.days = days_at(now, local)
        self._awake = {zone for zone in local if is_waking_hour(local[zone])}
        self._at_work = {
            (zone, country) for zone, country in places if is_working_hour(local[zone], country)
        }

    @property
    def anyone_at_work(self) -> bool:
        return bool(self._at_work)

    @property
    def anyone_awake(self) -> bool:
        return bool(self._awake)

    def at_work(self, site: Site) -> bool:
        """Whether letters are read there now: a working hour of a working day."""
        return (site.time_zone, site.country) in self._at_work

    def awake(self, site: Site) -> bool:
        """Whether somebody there may be told now what cannot wait."""
        return site.time_zone in self._awake

    def today(self, site: Site) -> date:
        """Today by the site's own clock."""
        return self.days.of(site.time_zone)

    def onboarding(self) -> QuerySet[Fan]:
        """Fans that nobody has seen here yet and whose first day is to come: no letter names them.

        The one question for every kind of letter.
        """
        seen = Check.objects.filter(
            fan=OuterRef("pk"), visit__here=True, visit__superseded_by__isnull=True
        )
        if not self.days.by_zone:
            return Fan.objects.none()
        # said by itself the earliest day anywhere lets few fans be looked at
        ahead = Q(onboarding_on__gt=min(self.days.by_zone.values()))
        waiting = self.days.matching(lambda today: Q(onboarding_on__gt=today))
        return Fan.objects.filter(ahead, waiting, ~Exists(seen))
