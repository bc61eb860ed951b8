"""Where people are written to, and at which hours: working mornings, holidays, waking hours."""

from __future__ import annotations

import logging
from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from functools import lru_cache

from holidays import HolidayBase, country_holidays, list_supported_countries

from fleet.models import Owner, Person, Site
from schedules.models import RefusedAddress

log = logging.getLogger(__name__)
FIRST_HOUR, LAST_HOUR = 8, 17
"""Letters are written between these hours of the addressee's local time; our choice."""
FIRST_WAKING_HOUR, LAST_WAKING_HOUR = 7, 21
"""What cannot wait for a working day is written between these; our choice."""
DAY = timedelta(days=1)


def addresses_of_owners(owner_ids: Iterable[int]) -> Mapping[int, str]:
    """The owner's own address, else that of the first of its people who has one.

    One that a server refused is told only of an owner who has no other: the letter is held there.
    """
    ids = list(owner_ids)
    people = Person.objects.filter(owner__in=ids, is_active=True).exclude(email="")
    owners = Owner.objects.filter(pk__in=ids).exclude(email="")
    found = [
        *people.order_by("-pk").values_list("owner", "email"),
        *owners.values_list("pk", "email"),
    ]
    refused = refused_among(address for _, address in found)
    return dict(sorted(found, key=lambda told: told[1] not in refused))


def refused_among(addresses: Iterable[str]) -> frozenset[str]:
    """Those of these addresses that a mail server has refused for good."""
    asked = set(addresses)
    rows = RefusedAddress.objects.filter(address__in=asked)
    return frozenset(rows.values_list("address", flat=True))


def is_working_hour(local: datetime, country: str) -> bool:
    """Whether somebody in that country reads letters at this local time."""
    return FIRST_HOUR <= local.hour < LAST_HOUR and is_working_day(local.date(), country)


def is_waking_hour(local: datetime) -> bool:
    """Whether somebody may be told at this local time what cannot wait, on any day."""
    return FIRST_WAKING_HOUR <= local.hour < LAST_WAKING_HOUR


def is_working_day(on: date, country: str) -> bool:
    """Neither a weekend nor a public holiday there; of regions' own holidays nothing is known."""
    calendar = _calendar(country, on.year)
    return calendar.is_working_day(on) if calendar is not None else on.isoweekday() <= 5


def working_day_from(on: date, country: str) -> date:
    """The first working day there on or after ``on``."""
    while not is_working_day(on, country):
        on += DAY
    return on


def working_days_after(first: date, last: date, country: str) -> int:
    """How many working days there lie after ``first``, up to and with ``last``."""
    days = (first + DAY * count for count in range(1, (last - first).days + 1))
    return sum(is_working_day(day, country) for day in days)


def unknown_countries() -> list[str]:
    """Codes in the register of which no holidays are known; letters go on those days as well."""
    codes = Site.objects.order_by("country").values_list("country", flat=True).distinct()
    return [code for code in codes if code.upper() not in list_supported_countries()]


@lru_cache(maxsize=1024)
def _calendar(country: str, year: int) -> HolidayBase | None:
    """One year of a country's public holidays and weekends; None for an unknown country.

    A calendar of many years would fill itself while it is asked, which threads must not share.
    """
    try:
        return country_holidays(country.upper(), years=year, expand=False)
    except NotImplementedError:
        log.warning("no holidays are known of country %r: letters go on every weekday", country)
        return None
