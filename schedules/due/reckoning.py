"""Reckon fans in blocks: histories in, dates out, and only what changed is written.

Nothing here takes locks ahead of time: every write says which revision it was reckoned from and
does nothing where a visit has raised it meanwhile; the fan is then simply still stale.
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from django.db import connection, transaction

from config.collisions import in_one_transaction
from config.questions import Row
from schedules.due.calendars import CalendarBook
from schedules.due.histories import Rebuilt, pack, rebuild, rebuild_missing
from schedules.due.reading import BLOCK as BLOCK  # callers hand over no more at a time
from schedules.due.reading import Blocks, Stored
from schedules.due.truth import Truth, read_truth
from schedules.due.writing import ANSWER_TYPES, write_faults, write_part
from schedules.engine.calendar_hours import HoursTable
from schedules.engine.due import reckon
from schedules.engine.parameters import DueParams
from schedules.models import DueState

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

    Block by block, each in a transaction of its own: memory and locks do not grow with the fleet.
    """
    first, end = fans or (1, None)
    report, last = Report(), first - 1
    with Blocks(params, only_stale=only_stale, last_fan=end) as blocks:
        run = _Run(now, params, from_truth, blocks)
        while block := _reckon_after(last, run, blocks):
            done, last = block
            report += done
    return report


def reckon_fans(
    *, fan_ids: Sequence[int], now: datetime, params: DueParams = STANDARD, tell: bool = False
) -> Report:
    """Reckon these fans from their records; a fan whose data is broken never stops the others.

    One statement reads them, one transaction writes them, the caller's where there is one.  With
    ``tell`` the report has the due rows as written and the record behind them, which then need
    not be read again.
    """
    started = time.perf_counter()
    with transaction.atomic(savepoint=False):
        truth = read_truth(fan_ids)
        if not truth.due:
            return Report()
        run, stored = _Run(now, params, tell=tell), Stored.of_due(truth.due)
        rebuilt = rebuild(stored, truth, params, run.calendars)
        report = _reckon_stored(stored, rebuilt, run, started)
        if not tell:
            return report
        states = tuple(_states(truth.due, run.answers, rebuilt.faults))
        return replace(report, states=states, truths=(truth,))


def _states(
    before: Sequence[Row], answers: Mapping[int, Row], faults: Mapping[int, tuple[int, str]]
) -> Iterator[DueState]:
    """Due rows with what has just been written over what they were."""
    for row in before:
        _, fault = faults.get(row["fan_id"], (0, ""))
        answer = answers.get(row["fan_id"], {})
        reckoned = {"fault": fault, "reckoned_revision": row["revision"]}
        yield DueState(**{**row, **answer, **reckoned})


@dataclass(frozen=True)
class _Run:
    """What all blocks of one reckoning share."""

    now: datetime
    params: DueParams
    from_truth: bool = False
    blocks: Blocks | None = None
    tell: bool = False
    answers: dict[int, Row] = field(default_factory=dict)
    calendars: CalendarBook = field(default_factory=CalendarBook)


@in_one_transaction
def _reckon_after(last: int, run: _Run, blocks: Blocks) -> tuple[Report, int] | None:
    """The next block after that fan, and its own last fan; None when there are no more."""
    started = time.perf_counter()
    _trust_the_next_pass()
    stored = blocks.after(last)
    if stored is None:
        return None
    if run.from_truth:
        stored.rows[:] = [None] * len(stored.rows)
    rebuilt = rebuild_missing(stored, run.params, run.calendars)
    return _reckon_stored(stored, rebuilt, run, started), stored.fan_ids[-1]


def _trust_the_next_pass() -> None:
    """Wait for no disk: a block lost in a crash loses its marks too, and is reckoned again."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SET LOCAL synchronous_commit = off")


def _reckon_stored(stored: Stored, rebuilt: Rebuilt, run: _Run, started: float) -> Report:
    packed = pack(stored, rebuilt, run.params, run.calendars)
    if run.blocks:
        run.blocks.read_on(stored.fan_ids[-1])
    hours, changed, histories = HoursTable(packed.calendars), 0, rebuilt.histories
    for places, columns in packed.by_width:
        dates = reckon(columns, packed.calendars, packed.index[places], run.params, hours)
        written = write_part(stored, places, dates, run.now, histories)
        changed, histories = changed + len(written), []
        if run.tell:
            run.answers.update(
                (row[-1], dict(zip(ANSWER_TYPES, row, strict=True))) for row in written
            )
    write_faults(rebuilt.faults)
    seconds = time.perf_counter() - started
    return Report(len(stored.fan_ids), changed, len(rebuilt.faults), seconds)
