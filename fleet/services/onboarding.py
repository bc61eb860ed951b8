"""Spread the fans of a first import over some weeks, so that not all fall due on one day."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import QuerySet

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


def brought_together(fans: QuerySet[Fan]) -> list[list[int]]:
    """The ids of these fans, those that came in with one import in one list: they share its weeks.

    Their histories begin at one moment.
    """
    began: dict[datetime, list[int]] = defaultdict(list)
    first = Fan.history.filter(history_type="+", id__in=fans.order_by().values("pk"))
    for fan_id, moment in first.values_list("id", "history_date"):
        began[moment].append(fan_id)
    return list(began.values())


@transaction.atomic
def reorder_onboarding(
    *, fans: Sequence[Standing], now: datetime, by: Person | None = None
) -> list[int]:
    """Deal the days that these fans have been given out anew among them: worst verdict first.

    Equals go by days overdue, then by a seeded hash of owner, site and tag, so that the same fleet
    always gets the same days.  No day is added and none given up, so all stay in the weeks chosen.
    Returns the ids of the fans whose day moved; only those are written.
    """
    names = ("pk", "onboarding_on", "site__owner__name", "site__name", "tag")
    waiting = Fan.objects.filter(onboarding_on__isnull=False)
    rows = {
        pk: (day, _hash(*place))
        for pk, day, *place in rows_in(
            waiting.values_list(*names), "pk", {standing.fan_id for standing in fans}
        )
    }
    ordered = sorted(
        (standing for standing in fans if standing.fan_id in rows),
        key=lambda s: (-s.worst_verdict, -s.days_overdue, rows[s.fan_id][1]),
    )
    days = sorted(day for day, _ in rows.values())
    given = {standing.fan_id: day for standing, day in zip(ordered, days, strict=True)}
    moved = list(
        rows_in(Fan.objects.all(), "pk", [pk for pk, day in given.items() if rows[pk][0] != day])
    )
    for fan in moved:
        fan.onboarding_on = given[fan.pk]
    if moved:
        update_all(Fan, moved, ["onboarding_on"], by, now, "onboarding spread")
        touch_fans(fan.pk for fan in moved)
    return [fan.pk for fan in moved]


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
    return _hash(fan.site.owner.name, fan.site.name, fan.tag)


def _hash(owner: str, site: str, tag: str) -> bytes:
    place = "\0".join((SEED, owner, site, tag))
    return hashlib.blake2b(place.encode(), digest_size=8).digest()
