"""Fills the scratch database: a sample with all its records, and its like at other times."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from django.db import transaction
from django.utils import timezone

from fleet.models import Fan
from schedules.bench.fleet import make_register, store
from schedules.bench.lives import make_lives
from schedules.due.reckoning import reckon_fans
from schedules.engine.history import history_dtype, room_of
from schedules.engine.rule import Columns
from schedules.models import DueState, FanHistory
from schedules.revisions import raise_revisions

SAMPLE = 2_000
REAL_DAY = 700_000
"""Ordinals below it are no days of this fleet: none, or "since ever"."""

FILL_AT_ONCE = 20_000


def fill_sample(fans: int) -> list[int]:
    """Store fans with everything a database would hold of them, and reckon them; their ids."""
    with transaction.atomic():
        made = make_register(0, fans)
        make_lives(made)
        fan_ids = [fan.pk for fan in made]
        raise_revisions(fan_ids)
        reckon_fans(fan_ids=fan_ids, now=timezone.now())
    return fan_ids


def fill_up(fans: int) -> None:
    """Add fans until there are so many: packed histories like the sample's, weeks earlier.

    They have no records behind their histories: these are what a nightly pass reads.
    """
    kept = list(FanHistory.objects.order_by("fan")[:SAMPLE].values_list("version", "row"))
    with transaction.atomic():
        for first, count in _pieces(Fan.objects.count(), fans):
            made = make_register(first, count)
            store(DueState(fan=fan, site=fan.site, owner=fan.site.owner) for fan in made)
            store(
                FanHistory(
                    fan=fan, version=version, revision=1, row=_earlier(row, number // len(kept))
                )
                for number, fan in enumerate(made, first)
                for version, row in [kept[number % len(kept)]]
            )


def _pieces(first: int, end: int) -> Iterator[tuple[int, int]]:
    for begin in range(first, end, FILL_AT_ONCE):
        yield begin, min(FILL_AT_ONCE, end - begin)


def _earlier(row: bytes | memoryview, weeks: int) -> bytes:
    """The same history so many weeks before; weekdays stay."""
    columns: Columns = np.frombuffer(row, history_dtype(room_of(len(row)))).copy()
    for name in columns.dtype.names or ():
        days = columns[name]
        if name.endswith("_day"):
            columns[name] = np.where(days > REAL_DAY, days - 7 * weeks, days)
    return columns.tobytes()
