"""A technician booked to a roof, in a word."""

from __future__ import annotations

import datetime as dt
from typing import Any

from fleet.models import Person, Site
from schedules.bookings.services import Terms, book
from schedules.models import Booking

NOW = dt.datetime(2026, 11, 30, 14, tzinfo=dt.UTC)
"""Monday, 8 in the morning in Chicago."""
TUESDAY = dt.date(2026, 12, 1)
HOUR = 60


def technician(name: str = "Jo Park", **facts: Any) -> Person:
    """Somebody who climbs, with an address."""
    first, last = name.split(" ")
    known = {"role": Person.Role.TECHNICIAN, "email": f"{first.lower()}@rounds.example", **facts}
    return Person.objects.create_user(last.lower(), first_name=first, last_name=last, **known)


def planner() -> Person:
    """Somebody who books; always the same."""
    known = {"role": Person.Role.DISPATCHER, "first_name": "Dana", "last_name": "Reyes"}
    return Person.objects.get_or_create(username="reyes", defaults=known)[0]


def booked(
    site: Site,
    person: Person,
    day: dt.date = TUESDAY,
    hours: tuple[int, int] | None = (9, 11),
    now: dt.datetime = NOW,
    note: str = "",
) -> Booking:
    """That person at that site, from one full hour until another, or any time that day."""
    begin, end = (hours[0] * HOUR, hours[1] * HOUR) if hours else (None, None)
    terms = Terms(person, day, begin, end, note)
    return book(site=site, terms=terms, by=planner(), now=now)
