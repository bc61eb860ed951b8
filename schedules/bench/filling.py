"""Fills the scratch database: a sample with all its records, and its like at other times."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from django.db import transaction
from django.utils import timezone

from fleet.models import Fan
from schedules.bench.fleet import SITES_PER_OWNER, make_register, store
from schedules.bench.lives import make_lives
from schedules.due.calendars import read_calendars
from schedules.due.reckoning import reckon_fans
from schedules.engine.calendar_layout import fingerprint
from schedules.engine.history import history_dtype, room_of
from schedules.engine.rule import Columns
from schedules.models import DueState, FanHistory
from schedules.revisions import raise_revisions

SAMPLE = 2_000
REAL_DAY = 700_000
"""Ordinals below it are no days of this fleet: none, or "since ever"."""

FILL_AT_ONCE = 20_000


def fill_sample(fans: int, sites_per_owner: int = SITES_PER_OWNER) -> list[int]:
    """Store fans with everything a database would hold of them, and reckon them; their ids."""
    with transaction.atomic():
        made = make_register(0, fans, sites_per_owner)
        make_lives(made)
        fan_ids = [fan.pk for fan in made]
        raise_revisions(fan_ids)
        reckon_fans(fan_ids=fan_ids, now=timezone.now())
    return fan_ids


def fill_up(fans: int) -> None:
    """Add fans until there are so many: packed histories like the sample's, weeks earlier.

    They have no records behind their histories, only hours of their own: these are what a nightly
    pass reads.
    """
    kept = list(FanHistory.objects.order_by("fan")[:SAMPLE].values_list("version", "row"))
    with transaction.atomic():
        for first, count in _pieces(Fan.objects.count(), fans):
            made = make_register(first, count)
            keys = _calendar_keys(made)
            store(DueState(fan=fan, site=fan.site, owner=fan.site.owner) for fan in made)
            store(
                _history(fan, kept[number % len(kept)], number // len(kept), keys[fan.pk])
                for number, fan in enumerate(made, first)
            )


def _calendar_keys(fans: list[Fan]) -> dict[int, int]:
    """What each fan's history carries of its system's hours; 0 for none."""
    known = read_calendars([fan.pk for fan in fans])
    return {fan.pk: fingerprint(known[fan.pk]) if fan.pk in known else 0 for fan in fans}


def _pieces(first: int, end: int) -> Iterator[tuple[int, int]]:
    for begin in range(first, end, FILL_AT_ONCE):
        yield begin, min(FILL_AT_ONCE, end - begin)


def _history(
    fan: Fan, like: tuple[int, bytes | memoryview], weeks: int, calendar_key: int
) -> FanHistory:
    """Another fan's history so many weeks before, in this one's hours; weekdays stay."""
    version, row = like
    columns: Columns = np.frombuffer(row, history_dtype(room_of(len(row)))).copy()
    for name in columns.dtype.names or ():
        days = columns[name]
        if name.endswith("_day"):
            columns[name] = np.where(days > REAL_DAY, days - 7 * weeks, days)
    columns["calendar_key"] = calendar_key
    return FanHistory(fan=fan, version=version, revision=1, row=columns.tobytes())
