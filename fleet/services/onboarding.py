"""Spread the fans of a first import over some weeks, so that not all fall due on one day."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction

from fleet.models import Fan, Person
from fleet.signals import touch_fans
from fleet.writing import rows_in, update_all

DEFAULT_WEEKS = 6
SEED = "roofround"


@dataclass(frozen=True, slots=True)
class Standing:
    """What the record says of a fan when its onboarding day is chosen.

    ``worst_verdict`` is a rank, higher is worse; ``days_overdue`` may be negative.
    """

    fan_id: int
    worst_verdict: int = 0
    days_overdue: int = 0


@transaction.atomic
def spread_onboarding(
    *,
    fans: Sequence[Standing],
    weeks: int,
    start_on: date,
    now: datetime,
    by: Person | None = None,
) -> dict[int, date]:
    """Give each fan a day from ``start_on`` on within ``weeks``: worst verdict first.

    Equals go by days overdue, then by a seeded hash of owner, site and tag, so that the same fleet
    always gets the same days.  Returns the day by fan id; only fans whose day moved are written.
    """
    rows = {
        fan.pk: fan
        for fan in rows_in(
            Fan.objects.select_related("site__owner"), "pk", {standing.fan_id for standing in fans}
        )
    }
    ordered = sorted(
        (standing for standing in fans if standing.fan_id in rows),
        key=lambda s: (-s.worst_verdict, -s.days_overdue, fan_hash(rows[s.fan_id])),
    )
    days = dict(
        zip((s.fan_id for s in ordered), spread(len(ordered), weeks, start_on), strict=True)
    )
    moved = [fan for fan in rows.values() if fan.onboarding_on != days[fan.pk]]
    for fan in moved:
        fan.onboarding_on = days[fan.pk]
    if moved:
        update_all(Fan, moved, ["onboarding_on"], by, now, "onboarding spread")
        touch_fans(fan.pk for fan in moved)
    return days


def give_onboarding_days(fans: Iterable[Any], weeks: int, start_on: date) -> list[date]:
    """Set the days of fans not stored yet, by hash alone; the days given, earliest first."""
    ordered = sorted(fans, key=fan_hash)
    days = spread(len(ordered), weeks, start_on)
    for fan, day in zip(ordered, days, strict=True):
        fan.onboarding_on = day
    return days


def spread(count: int, weeks: int, start_on: date) -> list[date]:
    """``count`` days spread evenly over ``weeks`` from ``start_on``, in order."""
    if weeks < 1:
        raise ValueError(f"weeks is {weeks}; onboarding needs at least one week")
    return [start_on + timedelta(days=at * weeks * 7 // count) for at in range(count)]


def fan_hash(fan: Fan) -> bytes:
    """A seeded hash of a fan's place in words; ids differ between installs, names do not."""
    place = "\0".join((SEED, fan.site.owner.name, fan.site.name, fan.tag))
    return hashlib.blake2b(place.encode(), digest_size=8).digest()
