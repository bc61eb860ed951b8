"""When the company's own people get what comes once a week, and who they are."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from fleet.models import Person
from schedules.models import Notice
from schedules.notices.addressees import LAST_HOUR, is_working_day, working_day_from

FIRST_HOUR = 6
"""Read at seven, before anybody is sent anywhere; our choice."""


def monday_of(on: date) -> date:
    """The first day of its ISO week."""
    return on - timedelta(days=on.isoweekday() - 1)


def is_weekly_morning(local: datetime, country: str) -> bool:
    """From the week's first working morning on, in working hours: what came late still comes."""
    today = local.date()
    begun = working_day_from(monday_of(today), country) <= today
    return begun and is_working_day(today, country) and FIRST_HOUR <= local.hour < LAST_HOUR


def readers_without(kind: Notice.Kind, period: str, roles: Sequence[str]) -> list[Person]:
    """Active people of the first of these roles that anybody has, whose letter is not written."""
    told = Notice.objects.filter(kind=kind, period=period).values("person")
    for role in roles:
        people = Person.objects.filter(role=role, is_active=True)
        if people.exists():
            return list(people.exclude(pk__in=told).order_by("pk"))
    return []
