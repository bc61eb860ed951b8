"""Losses of function on record, each once: the one count that all statistics of failures go by."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime
from itertools import pairwise
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import Q

from fleet.quantities import item_of
from visits.models import Action, Check, Finding
from visits.models.visits import superseded
from visits.services.stored import chunked

OF_FAN = "machine"
"""Work on it is work on each of its items."""
AT_ONCE = 5000
"""Fans in one statement; SQLite takes no more than 32,766 values."""
COLUMNS = ("fan_id", "item", "failed_on", "visit__local_on", "visit__began_at", "pk")
"""Of a finding, in the order of ``Loss``."""
Key = tuple[int, str]
"""A fan and an item."""
Worked = Mapping[Key, Sequence[datetime]]
"""When visits began that worked on an item of a fan."""
Ran = Mapping[int, Sequence[tuple[datetime, bool]]]
"""By fan, the visits that saw it run, and whether as it was left."""


class Loss(NamedTuple):
    """One loss of function; ``failed_on`` is None where only the day it was found is known."""

    fan: int
    item: str
    failed_on: date | None
    found_on: date
    began_at: datetime
    finding: UUID

    @property
    def day(self) -> date:
        """As recorded, else the day it was found."""
        return self.failed_on or self.found_on


def loss_rows(which: Q | None = None) -> Any:
    """Losses of function of standing visits as tuples of COLUMNS, call-backs left out."""
    return Finding.objects.losses().filter(which or Q()).order_by().values_list(*COLUMNS)


def loss_of(row: Sequence[Any]) -> Loss:
    """One of those rows, by maintainable item."""
    fan, item, failed_on, found_on, *rest = row
    return Loss(fan, item_of(item), failed_by(failed_on, found_on), found_on, *rest)


def failed_by(failed_on: date | None, found_on: date) -> date | None:
    """A day of failure after the visit that found it, typed wrong or past midnight, is that's."""
    return failed_on and min(failed_on, found_on)


def read_losses(which: Q | None = None) -> list[Loss]:
    """The same rows as losses; one statement."""
    return [loss_of(row) for row in loss_rows(which)]


def once_each(losses: Iterable[Loss]) -> list[Loss]:
    """Without those that only tell an earlier one again; see ``each_told``."""
    return [first for first, *_ in each_told(losses)]


def each_told(losses: Iterable[Loss]) -> list[list[Loss]]:
    """As ``told_together`` has them; no statement, or two where it is unsure."""
    losses = list(losses)
    doubtful = {later.fan for _, later in _doubtful(_by_key(losses))}
    worked, ran = (_worked(doubtful), _ran(doubtful)) if doubtful else ({}, {})
    return told_together(losses, worked, ran)


def told_together(losses: Iterable[Loss], worked: Worked, ran: Ran) -> list[list[Loss]]:
    """Tellings of one loss together, the first of each first: found, not mended, found once more.

    A day of failure after the earlier was found is a new failure, as are two days of their own on
    one visit; without such, work on that item or a fan seen running in between says so.
    """
    by_key = _by_key(losses)
    again = {
        later.finding
        for first, later in _doubtful(by_key)
        if not (_mended_between(first, later, worked) or _ran_between(first, later, ran))
    }
    groups: list[list[Loss]] = []
    for each in by_key:
        for loss in each:
            if loss.finding in again:
                groups[-1].append(loss)
            else:
                groups.append([loss])
    return groups


def _by_key(losses: Iterable[Loss]) -> list[list[Loss]]:
    """By fan and item, in the order they were told."""
    by_key: dict[Key, list[Loss]] = defaultdict(list)
    for loss in losses:
        by_key[loss.fan, loss.item].append(loss)
    for each in by_key.values():
        each.sort(key=lambda loss: (loss.began_at, loss.finding))
    return list(by_key.values())


def _doubtful(by_key: Iterable[Sequence[Loss]]) -> list[tuple[Loss, Loss]]:
    return [pair for each in by_key for pair in pairwise(each) if _may_be_one(*pair)]


def _may_be_one(first: Loss, later: Loss) -> bool:
    if later.failed_on is None:
        return True
    two_days = first.failed_on is not None and first.failed_on != later.failed_on
    if first.began_at == later.began_at and two_days:
        return False
    return later.failed_on <= first.found_on


def _worked(fans: Collection[int]) -> Worked:
    found: dict[Key, list[datetime]] = defaultdict(list)
    for part in chunked(fans, AT_ONCE):
        rows = Action.objects.filter(~superseded("visit"), fan__in=part).order_by()
        for fan, item, at in rows.values_list("fan_id", "item", "visit__began_at"):
            found[fan, item_of(item)].append(at)
    return found


def _mended_between(first: Loss, later: Loss, worked: Worked) -> bool:
    times = (*worked.get((later.fan, later.item), ()), *worked.get((later.fan, OF_FAN), ()))
    return any(first.began_at <= at < later.began_at for at in times)


def _ran(fans: Collection[int]) -> Ran:
    found: dict[int, list[tuple[datetime, bool]]] = defaultdict(list)
    for part in chunked(fans, AT_ONCE):
        rows = Check.objects.filter(~superseded("visit"), fan__in=part, running="runs").order_by()
        for fan, at, stage in rows.values_list("fan_id", "visit__began_at", "stage"):
            found[fan].append((at, stage == "as_left"))
    return found


def _ran_between(first: Loss, later: Loss, ran: Ran) -> bool:
    return any(
        first.began_at < at < later.began_at or (left and at == first.began_at)
        for at, left in ran.get(later.fan, ())
    )


def by_item(losses: Iterable[Loss]) -> Iterator[tuple[Key, list[Loss]]]:
    """By fan and item, in order of day."""
    found: dict[Key, list[Loss]] = defaultdict(list)
    for loss in sorted(losses, key=lambda each: (each.fan, each.item, each.day, each.began_at)):
        found[loss.fan, loss.item].append(loss)
    yield from found.items()
