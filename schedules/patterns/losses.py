"""Losses of function on record, each once."""

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
Key = tuple[int, str]
"""A fan and an item."""


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
    """Losses of function of standing visits as tuples, call-backs left out."""
    rows = Finding.objects.filter(which or Q(), loss_of_function=True, call_back=False)
    columns = ("fan_id", "item", "failed_on", "visit__local_on", "visit__began_at", "pk")
    return rows.filter(~superseded("visit")).order_by().values_list(*columns)


def read_losses(which: Q | None = None) -> list[Loss]:
    """The same, by maintainable item; one statement."""
    return [Loss(fan, item_of(item), *rest) for fan, item, *rest in loss_rows(which)]


def once_each(losses: Iterable[Loss]) -> list[Loss]:
    """Without those that only tell an earlier one again: found, not mended, found once more.

    A day of failure after the earlier was found is a new failure; without it, work on that item or
    a fan seen running in between says so.
    """
    by_key: dict[Key, list[Loss]] = defaultdict(list)
    for loss in losses:
        by_key[loss.fan, loss.item].append(loss)
    for each in by_key.values():
        each.sort(key=lambda loss: (loss.began_at, loss.finding))
    doubtful = [pair for each in by_key.values() for pair in pairwise(each) if _may_be_one(*pair)]
    worked = _worked({later.fan for _, later in doubtful})
    doubtful = [pair for pair in doubtful if not _mended_between(*pair, worked)]
    ran = _ran({later.fan for _, later in doubtful})
    again = {later.finding for first, later in doubtful if not _ran_between(first, later, ran)}
    return [loss for each in by_key.values() for loss in each if loss.finding not in again]


def _may_be_one(first: Loss, later: Loss) -> bool:
    return later.failed_on is None or later.failed_on <= first.found_on


def _worked(fans: Collection[int]) -> Mapping[Key, Sequence[datetime]]:
    found: dict[Key, list[datetime]] = defaultdict(list)
    for part in chunked(fans, AT_ONCE):
        rows = Action.objects.filter(~superseded("visit"), fan__in=part).order_by()
        for fan, item, at in rows.values_list("fan_id", "item", "visit__began_at"):
            found[fan, item_of(item)].append(at)
    return found


def _mended_between(first: Loss, later: Loss, worked: Mapping[Key, Sequence[datetime]]) -> bool:
    times = (*worked.get((later.fan, later.item), ()), *worked.get((later.fan, OF_FAN), ()))
    return any(first.began_at <= at < later.began_at for at in times)


def _ran(fans: Collection[int]) -> Mapping[int, Sequence[tuple[datetime, bool]]]:
    """By fan, the visits that saw it run, and whether as it was left."""
    found: dict[int, list[tuple[datetime, bool]]] = defaultdict(list)
    for part in chunked(fans, AT_ONCE):
        rows = Check.objects.filter(~superseded("visit"), fan__in=part, running="runs").order_by()
        for fan, at, stage in rows.values_list("fan_id", "visit__began_at", "stage"):
            found[fan].append((at, stage == "as_left"))
    return found


def _ran_between(
    first: Loss, later: Loss, ran: Mapping[int, Sequence[tuple[datetime, bool]]]
) -> bool:
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
