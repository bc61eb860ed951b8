"""The whole fleet as columns: how long each fan was watched, its class, and its losses."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

import numpy as np

from fleet.models import Fan, Machine
from schedules.engine.failures.recurring import Losses
from schedules.engine.series import Floats, Ints
from schedules.office import office
from schedules.patterns.watched import first_visit_rows, watched_since
from visits.losses import Loss, once_each, read_losses

DAYS_A_YEAR = 365.25
UNKNOWN = ("", "")


@dataclass(frozen=True)
class Fleet:
    """Shape (fans,) but ``losses``, shape (losses,); numbers in them are places in the tuples.

    A class is motor type and drive of the machine in place today.  ``since`` is the day [ordinal]
    from which a fan is known; ``sites`` are ids.
    """

    today: date
    fan_ids: Ints
    sites: Ints
    since: Ints
    years: Floats
    fan_class: Ints
    classes: tuple[tuple[str, str], ...]
    items: tuple[str, ...]
    losses: Losses
    told: tuple[Loss, ...]
    machines: Machines

    @property
    def end(self) -> int:
        """The day after the last one watched [ordinal]: a failure found today lies before it."""
        return max(self.today.toordinal(), int(self.losses.day.max(initial=0))) + 1


@dataclass(frozen=True)
class Machines:
    """Every machine that stood or stands at a fan, by fan, the oldest first: shape (machines,).

    fan : as in ``Fleet``; of_class : a class of its own plate; model : a place in ``models``, -1
        where none is on record; placed, removed : days [ordinal], those it is not known of before
        and after all others
    """

    fan: Ints
    of_class: Ints
    model: Ints
    placed: Ints
    removed: Ints
    models: tuple[str, ...]

    def that_failed(self, losses: Losses) -> Ints:
        """Which failed, -1 for none on record: one put in on the very day is what replaced it."""
        before = np.searchsorted(
            self._key(self.fan, self.placed), self._key(losses.fan, losses.day)
        )
        first = np.searchsorted(self.fan, losses.fan)
        at = np.maximum(before - 1, first)
        known = np.append(self.fan, -1)[np.minimum(at, len(self.fan))] == losses.fan
        return np.where(known, at, -1)

    @staticmethod
    def _key(fan: Ints, day: Ints) -> Ints:
        return fan * (date.max.toordinal() + 1) + day


def read_fleet(now: datetime) -> Fleet:
    """Five statements, two for each 5,000 fans of whom a loss may be told twice, one for each 5,000
    sites first visited long before a fan was entered.
    """
    today = now.astimezone(office().zone).date()
    told = tuple(once_each(read_losses()))
    fans = list(fan_rows())
    standing = list(machine_rows())
    kinds = {row[0]: (row[1], row[2]) for row in standing if row[5] is None}
    since = watched_since(fans, dict(first_visit_rows()))
    of_class: dict[tuple[str, str], int] = {}
    fan_class = [of_class.setdefault(kinds.get(pk, UNKNOWN), len(of_class)) for pk, *_ in fans]
    fan_ids = np.array([pk for pk, *_ in fans], np.int64)
    items = tuple(sorted({loss.item for loss in told}))
    losses = _columns(told, fan_ids, items)
    np.minimum.at(since, losses.fan, losses.day)
    watched = np.maximum(today.toordinal() - since, 1) / DAYS_A_YEAR
    machines = _machines(standing, fan_ids, of_class)
    sites = np.array([site for _, site, _ in fans], np.int64)
    return Fleet(
        today, fan_ids, sites, since, watched, np.array(fan_class, np.int64), tuple(of_class),
        items, losses, told, machines,
    )  # fmt: skip


def fan_rows() -> Any:
    """Every fan with its site and since when we know it."""
    return Fan.objects.order_by("pk").values_list("pk", "site_id", "entered_on")


def machine_rows() -> Any:
    """Every machine with its fan, motor type, drive, model and from when to when it stood there."""
    columns = ("fan_id", "motor_type", "drive", "model", "installed_on", "removed_on")
    return Machine.objects.order_by().values_list(*columns)


def _machines(
    rows: list[tuple[Any, ...]], fan_ids: Ints, of_class: dict[tuple[str, str], int]
) -> Machines:
    """As columns; plates of machines gone may bring classes of their own."""
    never = date.max.toordinal()
    fan = np.searchsorted(fan_ids, np.array([row[0] for row in rows], np.int64))
    named = [" ".join(row[3].split()).casefold() for row in rows]
    models: dict[str, int] = {}
    spelt: dict[int, str] = {}
    model = [models.setdefault(name, len(models)) if name else -1 for name in named]
    for number, row in zip(model, rows, strict=True):
        written = " ".join(row[3].split())
        spelt[number] = min(spelt.get(number, written), written)
    placed = np.array([row[4].toordinal() if row[4] else 0 for row in rows], np.int64)
    removed = np.array([row[5].toordinal() if row[5] else never for row in rows], np.int64)
    kinds = [of_class.setdefault((row[1], row[2]), len(of_class)) for row in rows]
    order = np.lexsort((removed, placed, fan))
    return Machines(
        fan[order], np.array(kinds, np.int64)[order], np.array(model, np.int64)[order],
        placed[order], removed[order], tuple(spelt[number] for number in range(len(models))),
    )  # fmt: skip


def _columns(told: tuple[Loss, ...], fan_ids: Ints, items: tuple[str, ...]) -> Losses:
    number = {item: at for at, item in enumerate(items)}
    fans = np.array([loss.fan for loss in told], np.int64)
    return Losses(
        fan=np.searchsorted(fan_ids, fans),
        item=np.array([number[loss.item] for loss in told], np.int64),
        day=np.array([loss.day.toordinal() for loss in told], np.int64),
    )
