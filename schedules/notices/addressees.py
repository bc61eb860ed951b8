"""Where people are written to, and at which hours."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime

from fleet.models import Owner, Person

FIRST_HOUR, LAST_HOUR = 8, 17
"""Letters are written between these hours of the addressee's local time; our choice."""
LAST_WORKDAY = 5


def addresses_of_owners(owner_ids: Iterable[int]) -> Mapping[int, str]:
    """The owner's own address, else that of the first of its people who has one."""
    ids = list(owner_ids)
    people = Person.objects.filter(owner__in=ids, is_active=True).exclude(email="")
    found = dict(people.order_by("-pk").values_list("owner", "email"))
    owners = Owner.objects.filter(pk__in=ids).exclude(email="")
    return {**found, **dict(owners.values_list("pk", "email"))}


def is_working_hour(local: datetime) -> bool:
    """Whether somebody there reads letters at this local time."""
    return local.isoweekday() <= LAST_WORKDAY and FIRST_HOUR <= local.hour < LAST_HOUR
