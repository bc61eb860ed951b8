"""The whole fleet as columns: how long each fan was watched, its class, and its losses."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

import numpy as np
from django.db.models import Min

from fleet.models import Fan, Machine
from schedules.engine.failures.recurring import Losses
from schedules.engine.series import Floats, Ints
from schedules.office import office
from schedules.patterns.losses import Loss, once_each, read_losses
from visits.models import Visit

DAYS_A_YEAR = 365.25
UNKNOWN = ("", "")


@dataclass(frozen=True)
class Fleet:
    """Shape (fans,) but ``losses``, shape (losses,); numbers in them are places in the tuples.

    A class is motor type and drive of the machine in place today.
    """

    today: date
    fan_ids: Ints
    years: Floats
    fan_class: Ints
    classes: tuple[tuple[str, str], ...]
    items: tuple[str, ...]
    losses: Losses
    told: tuple[Loss, ...]


def read_fleet(now: datetime) -> Fleet:
    """Five statements, and two for each 5,000 fans of whom a loss may be told twice."""
    today = now.astimezone(office().zone).date()
    told = tuple(once_each(read_losses()))
    fans = list(fan_rows())
    kinds = {fan: (motor_type, drive) for fan, motor_type, drive in kind_rows()}
    first_visit = {site: on.toordinal() for site, on in first_visit_rows()}
    never = date.max.toordinal()
    since = np.array(
        [min(on.toordinal(), first_visit.get(site, never)) for _, site, on in fans], np.int64
    )
    of_class: dict[tuple[str, str], int] = {}
    fan_class = [of_class.setdefault(kinds.get(pk, UNKNOWN), len(of_class)) for pk, *_ in fans]
    fan_ids = np.array([pk for pk, *_ in fans], np.int64)
    items = tuple(sorted({loss.item for loss in told}))
    losses = _columns(told, fan_ids, items)
    np.minimum.at(since, losses.fan, losses.day)
    watched = np.maximum(today.toordinal() - since, 1) / DAYS_A_YEAR
    return Fleet(
        today, fan_ids, watched, np.array(fan_class, np.int64), tuple(of_class), items, losses, told
    )


def fan_rows() -> Any:
    """Every fan with its site and since when we know it."""
    return Fan.objects.order_by("pk").values_list("pk", "site_id", "entered_on")


def kind_rows() -> Any:
    """Every fan with motor type and drive of the machine in place."""
    placed = Machine.objects.filter(removed_on=None).order_by()
    return placed.values_list("fan_id", "motor_type", "drive")


def first_visit_rows() -> Any:
    """Every site with the day of its first visit on record."""
    visited = Visit.objects.standing().order_by()
    return visited.values_list("site_id").annotate(Min("local_on"))


def _columns(told: tuple[Loss, ...], fan_ids: Ints, items: tuple[str, ...]) -> Losses:
    number = {item: at for at, item in enumerate(items)}
    fans = np.array([loss.fan for loss in told], np.int64)
    return Losses(
        fan=np.searchsorted(fan_ids, fans),
        item=np.array([number[loss.item] for loss in told], np.int64),
        day=np.array([loss.day.toordinal() for loss in told], np.int64),
    )
