"""Who came before the visit that replaced a machine that day, and so saw the old one."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, datetime
from uuid import UUID

from django.db.models import Min

from visits.models import Action, Visit
from visits.models.visits import superseded
from visits.services.register import FanFacts

Swaps = dict[tuple[int, date], datetime]


def first_swaps(fan_ids: Collection[int], *, but: UUID | None = None) -> Swaps:
    """When the first standing visit began that replaced a fan's machine, by fan and local day.

    Visits whose time nobody told are left out, and so is the visit ``but``.
    """
    swaps = Action.objects.filter(
        ~superseded("visit"), fan__in=fan_ids, kind="replaced", item="machine",
        visit__local_minute__isnull=False,
    )  # fmt: skip
    rows = swaps.exclude(visit=but) if but else swaps
    found = rows.values_list("fan", "visit__local_on").annotate(first=Min("visit__began_at"))
    return {(fan, on): first for fan, on, first in found.order_by()}


def is_before(visit: Visit, fan_id: int, swaps: Swaps) -> bool:
    """Whether a visit began before that day's swap; False of one whose time nobody told."""
    first = swaps.get((fan_id, visit.local_on))
    return first is not None and visit.local_minute is not None and visit.began_at < first


def came_before_swap(visit: Visit, fan: FanFacts) -> bool:
    """Whether another visit, which came in before this one, replaced the machine later that day.

    Of a swap told without a visit nobody knows the time: then the new machine stood there, as
    always.
    """
    machines = fan.machines.values()
    if visit.local_minute is None or visit.local_on not in {m.installed_on for m in machines}:
        return False
    return is_before(visit, fan.id, first_swaps([fan.id], but=visit.supersedes_id))
