"""Other ways to the same dates, to be compared with: fan by fan, prefetched, and reading alone."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import date

import numpy as np
from django.db import connection

from schedules.due.reading import BLOCK, stored_columns
from schedules.due.reckoning import STANDARD
from schedules.due.records import records_in
from schedules.due.truth import read_truth_one_by_one
from schedules.engine.due import reckon, reckon_one, told
from schedules.engine.history import fold_record
from schedules.engine.record import FanRecord, Reckoned
from schedules.engine.rule import Columns
from schedules.models import DueState

CHUNK = 500


def read_and_discard() -> int:
    """Read what a full pass reads and do nothing with it; bytes or rows."""
    statement = stored_columns(STANDARD)
    connection.ensure_connection()
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor, cursor.copy(_copied(statement)) as copy:
            return sum(len(part) for part in copy)
    with connection.cursor() as cursor:
        cursor.execute(statement)
        return sum(len(rows) for rows in iter(lambda: cursor.fetchmany(BLOCK), []))


def _copied(statement: str) -> str:
    return f"COPY ({statement}) TO STDOUT (FORMAT BINARY)"


def reckon_each(fan_ids: Sequence[int]) -> None:
    """The plain loop: for every fan its own questions, its own reckoning, its own save."""
    for fan_id in fan_ids:
        for _, reckoned in one_by_one([fan_id]):
            state = DueState.objects.get(fan=fan_id)
            _fill(state, reckoned)
            state.save()


def reckon_prefetched(fan_ids: Sequence[int]) -> None:
    """The careful loop: questions for 500 fans at once, one block, written back in one go."""
    for begin in range(0, len(fan_ids), CHUNK):
        chunk = fan_ids[begin : begin + CHUNK]
        states = DueState.objects.in_bulk(list(chunk))
        for fan_id, reckoned in _in_blocks(chunk):
            _fill(states[fan_id], reckoned)
        fields = ["due_on", "due_rule", "overdue_after", "overdue_rule"]
        DueState.objects.bulk_update(states.values(), fields)


def _in_blocks(fan_ids: Sequence[int]) -> Iterator[tuple[int, Reckoned]]:
    """Dates of fans from their records, those with histories of one width in a block."""
    by_width: dict[int, list[tuple[int, FanRecord, Columns]]] = defaultdict(list)
    for fan, build in records_in(read_truth_one_by_one(fan_ids)):
        record = build()
        row = fold_record(record, STANDARD)
        by_width[row.dtype.itemsize].append((fan["id"], record, row))
    for fans in by_width.values():
        known = {fan_id: record.calendar for fan_id, record, _ in fans if record.calendar}
        place = {fan_id: at for at, fan_id in enumerate(known)}
        index = np.array([place.get(fan_id, -1) for fan_id, *_ in fans], np.int32)
        rows = np.concatenate([row for *_, row in fans])
        block = reckon(rows, list(known.values()), index, STANDARD)
        for at, (fan_id, *_) in enumerate(fans):
            yield fan_id, told(block, at)


def one_by_one(fan_ids: Sequence[int]) -> Iterator[tuple[int, Reckoned]]:
    """Each fan's dates from its own record, without packed histories or blocks."""
    for fan, build in records_in(read_truth_one_by_one(fan_ids)):
        yield fan["id"], reckon_one(build(), STANDARD)


def _fill(state: DueState, reckoned: Reckoned) -> None:
    due, overdue = reckoned.due, reckoned.overdue
    state.due_on = date.fromordinal(due.due_day) if due else None
    state.due_rule = due.rule if due else None
    state.overdue_after = date.fromordinal(overdue.overdue_after_day) if overdue else None
    state.overdue_rule = overdue.rule if overdue else None
