"""Reckon fans in blocks: histories in, dates out, and only what changed is written.

Nothing here takes locks ahead of time: every write says which revision it was reckoned from and
does nothing where a visit has raised it meanwhile; the fan is then simply still stale.
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from schedules.due.histories import Part, load_block
from schedules.due.writing import write_faults, write_histories, write_part
from schedules.engine.due import reckon
from schedules.engine.parameters import DueParams
from schedules.models import DueState

BLOCK = 4_096
STANDARD = DueParams()
"""The rules with every number at its default."""


@dataclass(frozen=True)
class Report:
    """What a reckoning did."""

    fans: int = 0
    changed: int = 0
    failed: int = 0
    seconds: float = 0.0

    def __add__(self, other: Report) -> Report:
        return Report(
            self.fans + other.fans,
            self.changed + other.changed,
            self.failed + other.failed,
            self.seconds + other.seconds,
        )


def reckon_fleet(
    *,
    now: datetime,
    only_stale: bool = True,
    from_truth: bool = False,
    params: DueParams = STANDARD,
) -> Report:
    """Reckon every fan, or those touched since their last reckoning, in ranges of fan ids."""
    report = Report()
    for fan_ids in _ranges(only_stale):
        report += reckon_fans(fan_ids=fan_ids, now=now, from_truth=from_truth, params=params)
    return report


def reckon_fans(
    *,
    fan_ids: Sequence[int],
    now: datetime,
    from_truth: bool = False,
    params: DueParams = STANDARD,
) -> Report:
    """Reckon these fans in one transaction; a fan whose data is broken never stops the others."""
    started = time.perf_counter()
    with transaction.atomic():
        block = load_block(fan_ids, params, rebuild=from_truth)
        changed = sum(_reckon_part(part, now, params) for part in block.parts)
        write_histories(block.rebuilt)
        write_faults(block.faults)
    seconds = time.perf_counter() - started
    return Report(len(fan_ids), changed, len(block.faults), seconds)


def _reckon_part(part: Part, now: datetime, params: DueParams) -> int:
    dates = reckon(part.columns, part.calendars, part.calendar_index, params)
    return write_part(part, dates, now)


def _ranges(only_stale: bool) -> Iterator[list[int]]:
    """Fan ids in order, a block at a time; each block is asked for when the last is done."""
    last = 0
    while True:
        rows = DueState.objects.filter(fan__gt=last).order_by("fan_id")
        if only_stale:
            rows = rows.stale()
        fan_ids = list(rows.values_list("fan_id", flat=True)[:BLOCK])
        if not fan_ids:
            return
        yield fan_ids
        last = fan_ids[-1]
