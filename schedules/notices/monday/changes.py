"""What the log of due days says of a span of time: earlier, later, back on time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from operator import attrgetter
from typing import NamedTuple

from fleet.models import Fan
from schedules.models import DueChange

MOST_NAMED = 8


class Net(NamedTuple):
    """A fan, its due day before and after all changes of a span, the rule that gives it now."""

    fan: int
    before: date
    after: date
    rule: int | None


@dataclass(frozen=True)
class Moved:
    """One fan whose due day moved."""

    fan: Fan
    before: date
    after: date
    rule: int | None


@dataclass(frozen=True)
class Changes:
    """How many fans moved which way; of those earlier and back on time some are named."""

    earlier: int
    later: int
    back: int
    named_earlier: Sequence[Moved]
    named_back: Sequence[Moved]


def read_changes(since: datetime, until: datetime) -> Changes:
    """Net changes between two instants; two questions.

    A fan is back on time where its day lay before ``since`` and now lies after ``until``: what
    was due and late is done.
    """
    today, begun = until.date(), since.date()
    net = _net(since, until)
    earlier = sorted((row for row in net if row.after < row.before), key=attrgetter("after", "fan"))
    back = [row for row in net if row.before < begun and row.after > today]
    back.sort(key=attrgetter("before", "fan"))
    named_earlier, named_back = earlier[:MOST_NAMED], back[:MOST_NAMED]
    ids = {row.fan for row in (*named_earlier, *named_back)}
    fans = Fan.objects.select_related("site").in_bulk(ids)
    return Changes(
        earlier=len(earlier),
        later=sum(row.after > row.before for row in net) - len(back),
        back=len(back),
        named_earlier=[
            Moved(fans[row.fan], row.before, row.after, row.rule) for row in named_earlier
        ],
        named_back=[Moved(fans[row.fan], row.before, row.after, row.rule) for row in named_back],
    )


def _net(since: datetime, until: datetime) -> list[Net]:
    """Fans with a day before and another one after."""
    rows = DueChange.objects.filter(changed_at__gte=since, changed_at__lte=until)
    columns = rows.order_by("changed_at", "pk").values_list(
        "fan", "due_on_before", "due_on", "due_rule"
    )
    before: dict[int, date | None] = {}
    after: dict[int, tuple[date | None, int | None]] = {}
    for fan, was, is_now, rule in columns.iterator(chunk_size=10_000):
        before.setdefault(fan, was)
        after[fan] = is_now, rule
    told = ((fan, was, *after[fan]) for fan, was in before.items())
    return [
        Net(fan, was, is_now, rule)
        for fan, was, is_now, rule in told
        if was and is_now and was != is_now
    ]
