"""Reckon fans in blocks: histories in, dates out, and only what changed is written.

Every write says which revision it was reckoned from and does nothing where a visit has raised it
meanwhile; the fan is then simply still stale.  Rows are held only while a block is written, in
order of fans, so that no two wait for each other.
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import partial

from django.db import connection, transaction

from config.aside import behind
from config.collisions import in_one_transaction
from config.questions import Row
from schedules.due.calendars import CalendarBook
from schedules.due.fresh import Fresh
from schedules.due.histories import Rebuilt, pack, rebuild, rebuild_missing
from schedules.due.kept import kept_answers
from schedules.due.reading import BLOCK as BLOCK  # callers hand over no more at a time
from schedules.due.reading import Blocks, Stored
from schedules.due.truth import Truth, read_truth
from schedules.due.writing import ANSWER_TYPES, write_faults, write_part
from schedules.engine.calendar_hours import HoursTable
from schedules.engine.due import NOTHING_KEPT, reckon
from schedules.engine.parameters import DueParams
from schedules.engine.rule import RuleColumns
from schedules.models import DueState
from schedules.revisions import lock_in_order

STANDARD = DueParams()
"""The rules with every number at its default."""


@dataclass(frozen=True)
class Report:
    """What a reckoning did; if asked to tell, also the fans' due rows as they stand now and the
    record they were reckoned from.
    """

    fans: int = 0
    changed: int = 0
    failed: int = 0
    seconds: float = 0.0
    states: tuple[DueState, ...] = ()
    truths: tuple[Truth, ...] = ()

    def __add__(self, other: Report) -> Report:
        return Report(
            self.fans + other.fans,
            self.changed + other.changed,
            self.failed + other.failed,
            self.seconds + other.seconds,
            self.states + other.states,
            self.truths + other.truths,
        )


def reckon_fleet(
    *,
    now: datetime,
    only_stale: bool = True,
    from_truth: bool = False,
    params: DueParams = STANDARD,
    fans: tuple[int, int] | None = None,
) -> Report:
    """Reckon every fan, or those touched since their last reckoning, in order of fan ids; with
    ``fans`` only those from the first to the last of them.

    Block by block, each written in a transaction of its own: memory and locks do not grow with
    the fleet.
    """
    started, run = time.perf_counter(), _Run(params, from_truth)
    first, end = fans or (1, None)
    with Blocks(params, only_stale=only_stale, last_fan=end) as blocks:
        written = behind(partial(_write_and_trust, now=now), _reckoned(blocks, run, first - 1))
        report = sum(written, Report())
    return replace(report, seconds=time.perf_counter() - started)


def reckon_fans(
    *,
    fan_ids: Sequence[int],
    now: datetime,
    params: DueParams = STANDARD,
    tell: bool = False,
    truth: Truth | None = None,
) -> Report:
    """Reckon these fans from their records; a fan whose data is broken never stops the others.

    One statement reads them, one transaction writes them, the caller's where there is one.  With
    ``tell`` the report has the due rows as written and the record behind them, which then need
    not be read again.  ``truth`` is that record, where somebody has read it.
    """
    started = time.perf_counter()
    with transaction.atomic(savepoint=False):
        truth = truth or read_truth(fan_ids)
        if not truth.due:
            return Report()
        run, stored = _Run(params), Stored.of_due(truth.due)
        rebuilt = rebuild(stored, truth, params, run.calendars)
        block = _reckon_block(stored, rebuilt, run, kept=kept_answers(truth, stored.rows[0]))
        report = replace(_write(block, now), seconds=time.perf_counter() - started)
    if not tell:
        return report
    return replace(report, states=tuple(_states(truth.due, block)), truths=(truth,))


def _states(before: Sequence[Row], block: _Block) -> Iterator[DueState]:
    """Due rows with what has just been written over what they were."""
    rows = (row for part in block.parts for row in part.rows)
    answers = {row[-1]: dict(zip(ANSWER_TYPES, row, strict=True)) for row in rows}
    for row in before:
        _, fault = block.rebuilt.faults.get(row["fan_id"], (0, ""))
        answer = answers.get(row["fan_id"], {})
        reckoned = {"fault": fault, "reckoned_revision": row["revision"]}
        yield DueState(**{**row, **answer, **reckoned})


@dataclass(frozen=True)
class _Run:
    """What all blocks of one reckoning share."""

    params: DueParams
    from_truth: bool = False
    calendars: CalendarBook = field(default_factory=CalendarBook)


@dataclass(frozen=True)
class _Block:
    """What is to be written of a block of fans."""

    fans: int
    parts: list[Fresh]
    rebuilt: Rebuilt

    def written(self) -> Iterator[int]:
        """Fans of which anything is to be written."""
        for part in self.parts:
            yield from part.columns["fan_id"].tolist()
        yield from (fan_id for fan_id, *_ in self.rebuilt.histories)
        yield from self.rebuilt.faults


def _reckoned(blocks: Blocks, run: _Run, last: int) -> Iterator[_Block]:
    """The fleet's blocks beyond the fan ``last``, one after another."""
    while stored := blocks.after(last):
        last = stored.fan_ids[-1]
        if run.from_truth:
            stored.rows[:] = [None] * len(stored.rows)
        rebuilt = rebuild_missing(stored, run.params, run.calendars)
        yield _reckon_block(stored, rebuilt, run, blocks)


def _reckon_block(
    stored: Stored,
    rebuilt: Rebuilt,
    run: _Run,
    blocks: Blocks | None = None,
    kept: Mapping[int, RuleColumns] = NOTHING_KEPT,
) -> _Block:
    packed = pack(stored, rebuilt, run.params, run.calendars)
    # Joined by now; the next block needs the room.
    stored.rows.clear()
    if blocks:
        blocks.read_on(stored.fan_ids[-1])
    hours = HoursTable(packed.calendars)
    parts = []
    for places, columns in packed.by_width:
        dates = reckon(columns, packed.calendars, packed.index[places], run.params, hours, kept)
        parts.append(Fresh.of(stored, places, dates))
    return _Block(len(stored.fan_ids), parts, rebuilt)


@in_one_transaction
def _write_and_trust(block: _Block, now: datetime) -> Report:
    """Write and wait for no disk: a block lost in a crash is still marked, and reckoned again."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SET LOCAL synchronous_commit = off")
    # Whoever reckons what it has just touched holds its rows already.
    lock_in_order(block.written())
    return _write(block, now)


def _write(block: _Block, now: datetime) -> Report:
    histories = block.rebuilt.histories
    for part in block.parts:
        write_part(part, now, histories)
        histories = []
    write_faults(block.rebuilt.faults)
    changed = sum(part.changed for part in block.parts)
    return Report(block.fans, changed, len(block.rebuilt.faults))
