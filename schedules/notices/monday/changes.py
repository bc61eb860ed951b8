"""What the log of due days says of a span of time: earlier, later, back on time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from fleet.models import Fan
from schedules.models import DueChange

MOST_NAMED = 8
Net = tuple[int, date, date, int | None]
"""A fan, its due day before and after all changes of the span, and the rule that gives it now."""


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
    earlier = sorted((row for row in net if row[2] < row[1]), key=lambda row: (row[2], row[0]))
    back = sorted((row for row in net if row[1] < begun and row[2] > today), key=lambda row: row[1])
    named_earlier, named_back = earlier[:MOST_NAMED], back[:MOST_NAMED]
    ids = {row[0] for row in (*named_earlier, *named_back)}
    fans = Fan.objects.select_related("site").in_bulk(ids)
    return Changes(
        earlier=len(earlier),
        later=sum(row[2] > row[1] for row in net) - len(back),
        back=len(back),
        named_earlier=[Moved(fans[fan], *days) for fan, *days in named_earlier],
        named_back=[Moved(fans[fan], *days) for fan, *days in named_back],
    )


def _net(since: datetime, until: datetime) -> Iterable[Net]:
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
    return [
        (fan, was, after[fan][0], after[fan][1])  # type: ignore[misc]  # both are dates here
        for fan, was in before.items()
        if was and after[fan][0] and was != after[fan][0]
    ]
