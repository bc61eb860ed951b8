"""Reckon fans in blocks: histories in, dates out, and only what changed is written.

Nothing here takes locks ahead of time: every write says which revision it was reckoned from and
does nothing where a visit has raised it meanwhile; the fan is then simply still stale.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime

import numpy as np
from django.db import connection, transaction
from numpy.typing import NDArray

from config.collisions import in_one_transaction
from schedules.due.calendars import CalendarBook
from schedules.due.histories import parts, rebuild_missing
from schedules.due.reading import BLOCK as BLOCK  # callers hand over no more at a time
from schedules.due.reading import Blocks, Stored, read_fans
from schedules.due.writing import write_faults, write_histories, write_part
from schedules.engine.calendar_hours import HoursTable
from schedules.engine.due import needs_calendar, reckon
from schedules.engine.parameters import DueParams
from schedules.engine.record import Calendar
from schedules.engine.rule import Columns

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
    """Reckon every fan, or those touched since their last reckoning, in order of fan ids.

    Block by block, each in a transaction of its own: memory and locks do not grow with the fleet.
    """
    report, last = Report(), 0
    with Blocks(params, only_stale=only_stale) as blocks:
        run = _Run(now, params, from_truth, blocks)
        while block := _reckon_after(last, run, blocks):
            done, last = block
            report += done
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
        stored = read_fans(fan_ids, params)
        if stored is None:
            return Report()
        return _reckon_stored(stored, _Run(now, params, from_truth), started)


@dataclass(frozen=True)
class _Run:
    """What all blocks of one reckoning share."""

    now: datetime
    params: DueParams
    from_truth: bool
    blocks: Blocks | None = None
    calendars: CalendarBook = field(default_factory=CalendarBook)


@dataclass(frozen=True)
class _Block:
    """Histories by width, with the calendars they go by and, per fan, which (-1 for none).

    ``astray`` are the fans whose history names hours that nobody has any more.
    """

    by_width: list[tuple[NDArray[np.intp], Columns]]
    calendars: list[Calendar]
    index: NDArray[np.int32]
    astray: NDArray[np.intp]

    @staticmethod
    def of(stored: Stored, book: CalendarBook) -> _Block:
        by_width = list(parts(stored))
        keys = np.zeros(len(stored.fan_ids), np.int64)
        for places, columns in by_width:
            keys[places] = np.where(needs_calendar(columns), columns["calendar_key"], 0)
        calendars, index = book.find(stored.fan_ids, keys)
        return _Block(by_width, calendars, index, np.flatnonzero((keys != 0) & (index < 0)))


@in_one_transaction
def _reckon_after(last: int, run: _Run, blocks: Blocks) -> tuple[Report, int] | None:
    """The next block after that fan, and its own last fan; None when there are no more."""
    started = time.perf_counter()
    _trust_the_next_pass()
    stored = blocks.after(last)
    if stored is None:
        return None
    return _reckon_stored(stored, run, started), stored.fan_ids[-1]


def _trust_the_next_pass() -> None:
    """Wait for no disk: a block lost in a crash loses its marks too, and is reckoned again."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SET LOCAL synchronous_commit = off")


def _reckon_stored(stored: Stored, run: _Run, started: float) -> Report:
    if run.from_truth:
        stored.rows[:] = [None] * len(stored.rows)
    rebuilt = rebuild_missing(stored, run.params)
    block = _Block.of(stored, run.calendars)
    if block.astray.size:
        for at in block.astray.tolist():
            stored.rows[at] = None
        rebuilt += rebuild_missing(stored, run.params)
        block = _Block.of(stored, run.calendars)
    if run.blocks:
        run.blocks.read_on(stored.fan_ids[-1])
    hours, changed = HoursTable(block.calendars), 0
    for places, columns in block.by_width:
        dates = reckon(columns, block.calendars, block.index[places], run.params, hours)
        changed += write_part(stored, places, dates, run.now)
    write_histories(rebuilt.histories)
    write_faults(rebuilt.faults)
    seconds = time.perf_counter() - started
    return Report(len(stored.fan_ids), changed, len(rebuilt.faults), seconds)
