"""Write what a reckoning changed, and nothing else, each row under the revision it was read at."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from typing import Any

from django.db import connection

from schedules.due.answers import as_date, pack_answers
from schedules.due.histories import Part
from schedules.engine.due import BlockDates
from schedules.models import DueChange, DueState, FanHistory

WRITE_ANSWER = """
    UPDATE schedules_duestate
    SET due_on = %s, due_rule = %s, overdue_after = %s, overdue_rule = %s, not_before = %s,
        dates = %s, worst_verdict = %s, fault = '', reckoned_revision = %s
    WHERE fan_id = %s AND revision = %s
"""
MARK_RECKONED = """
    UPDATE schedules_duestate SET reckoned_revision = %s WHERE fan_id = %s AND revision = %s
"""


def write_part(part: Part, block: BlockDates, now: datetime) -> int:
    """Store the answers that differ; how many did."""
    answers = pack_answers(block)
    width = answers.dtype.itemsize
    packed = answers.tobytes()
    changed: list[int] = []
    marked: list[tuple[int, int, int]] = []
    for index, state in enumerate(part.stored):
        if state.dates is None or bytes(state.dates) != packed[index * width : (index + 1) * width]:
            changed.append(index)
        elif state.reckoned_revision != state.revision:
            marked.append((state.revision, state.fan_id, state.revision))
    rows = [_row(part, block, i, packed[i * width : (i + 1) * width]) for i in changed]
    _execute(WRITE_ANSWER, rows)
    _execute(MARK_RECKONED, marked)
    _log(part, rows, changed, now)
    return len(changed)


def write_histories(rebuilt: list[FanHistory]) -> None:
    """Keep the packed histories that had to be built."""
    FanHistory.objects.bulk_create(
        rebuilt,
        batch_size=500,
        update_conflicts=True,
        unique_fields=["fan"],
        update_fields=["version", "revision", "row"],
    )


def write_faults(faults: dict[int, tuple[int, str]]) -> None:
    """Say of a fan that it could not be reckoned; its old dates stay beside the reason."""
    for fan_id, (revision, text) in faults.items():
        DueState.objects.filter(fan=fan_id, revision=revision).update(
            fault=text, reckoned_revision=revision
        )


def _row(part: Part, block: BlockDates, index: int, packed: bytes) -> tuple[Any, ...]:
    state = part.stored[index]
    due_on = as_date(int(block.due_day[index]))
    overdue = as_date(int(block.overdue_after_day[index]))
    return (
        due_on,
        int(block.due_rule[index]) if due_on else None,
        overdue,
        int(block.overdue_rule[index]) if overdue else None,
        as_date(int(block.not_before_day[index])),
        packed,
        int(block.worst_verdict[index]),
        state.revision,
        state.fan_id,
        state.revision,
    )


def _execute(statement: str, rows: list[tuple[Any, ...]]) -> None:
    if rows:
        with connection.cursor() as cursor:
            cursor.executemany(statement, rows)


def _log(part: Part, rows: list[tuple[Any, ...]], changed: Iterable[int], now: datetime) -> None:
    """Remember moves of a day or its rule; a fan's first answer is no change."""
    changes = [
        DueChange(
            fan_id=state.fan_id,
            changed_at=now,
            due_on_before=state.due_on,
            due_on=row[0],
            due_rule_before=state.due_rule,
            due_rule=row[1],
        )
        for row, state in zip(rows, (part.stored[i] for i in changed), strict=True)
        if state.reckoned_revision and _moved(state.due_on, state.due_rule, row)
    ]
    DueChange.objects.bulk_create(changes, batch_size=500)


def _moved(due_on: date | None, due_rule: int | None, row: tuple[Any, ...]) -> bool:
    return (due_on, due_rule) != row[:2]
