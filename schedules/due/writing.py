"""Write what a reckoning changed, and nothing else, each row under the revision it was read at."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any

import numpy as np
from django.db import connection
from numpy.typing import NDArray

from config.questions import run
from schedules.due.answers import ANSWER, as_date, pack_answers
from schedules.due.reading import Stored
from schedules.engine.due import BlockDates
from schedules.engine.rule import Days
from schedules.models import DueState

ANSWER_TYPES = {
    "due_on": "date", "due_rule": "int2", "overdue_after": "date", "overdue_rule": "int2",
    "not_before": "date", "dates": "bytea", "worst_verdict": "int2", "revision": "int8",
    "fan_id": "int8",
}  # fmt: skip
WRITE_ANSWER = """
    UPDATE schedules_duestate
    SET due_on = %s, due_rule = %s, overdue_after = %s, overdue_rule = %s, not_before = %s,
        dates = %s, worst_verdict = %s, fault = '', reckoned_revision = revision
    WHERE revision = %s AND fan_id = %s
"""
FRESH = """
    CREATE TEMPORARY TABLE fresh_answer ON COMMIT DROP AS
    SELECT due_on, due_rule, overdue_after, overdue_rule, not_before, dates, worst_verdict,
           revision, fan_id
    FROM schedules_duestate WHERE false
"""
WRITE_FRESH = """
    UPDATE schedules_duestate AS d
    SET due_on = n.due_on, due_rule = n.due_rule, overdue_after = n.overdue_after,
        overdue_rule = n.overdue_rule, not_before = n.not_before, dates = n.dates,
        worst_verdict = n.worst_verdict, fault = '', reckoned_revision = d.revision
    FROM fresh_answer AS n
    WHERE d.fan_id = n.fan_id AND d.revision = n.revision AND d.fan_id BETWEEN %s AND %s
"""
MARK_RECKONED = """
    UPDATE schedules_duestate SET fault = '', reckoned_revision = revision
    WHERE revision = %s AND fan_id = %s
"""
CHANGE_TYPES = {
    "fan_id": "int8", "changed_at": "timestamptz", "due_on_before": "date", "due_on": "date",
    "due_rule_before": "int2", "due_rule": "int2",
}  # fmt: skip
WRITE_CHANGE = """
    INSERT INTO schedules_duechange
        (fan_id, changed_at, due_on_before, due_on, due_rule_before, due_rule)
    VALUES (%s, %s, %s, %s, %s, %s)
"""
WRITE_AT_ONCE = """
    WITH written AS (
        UPDATE schedules_duestate AS d
        SET due_on = n.due_on, due_rule = n.due_rule, overdue_after = n.overdue_after,
            overdue_rule = n.overdue_rule, not_before = n.not_before, dates = n.dates,
            worst_verdict = n.worst_verdict, fault = '', reckoned_revision = d.revision
        FROM unnest({answers}) AS n ({answer_names})
        WHERE d.fan_id = n.fan_id AND d.revision = n.revision
        RETURNING d.fan_id
    ), kept AS ({histories})
    INSERT INTO schedules_duechange ({change_names})
    SELECT {change_names} FROM unnest({changes}) AS c ({change_names}) JOIN written USING (fan_id)
"""
HISTORY_TYPES = {"fan_id": "int8", "version": "int8", "revision": "int8", '"row"': "bytea"}
WRITE_HISTORY = """
    INSERT INTO schedules_fanhistory (fan_id, version, revision, "row") {rows}
    ON CONFLICT (fan_id) DO UPDATE
    SET version = excluded.version, revision = excluded.revision, "row" = excluded."row"
"""
FROM_ARRAYS = "SELECT * FROM unnest({})"
AT_ONCE = 500
MANY = 16
"""So many rows are worth a COPY, which costs a few round trips more than it saves for one."""

Rows = Sequence[tuple[Any, ...]]


def write_part(
    stored: Stored,
    places: NDArray[np.intp],
    block: BlockDates,
    now: datetime,
    histories: Rows = (),
) -> Rows:
    """Store the answers that differ, and ``histories`` as ``write_histories`` takes them.

    Returns the answers stored as rows of ANSWER_TYPES.
    """
    answers = pack_answers(block)
    changed = _differing(stored, places, answers)
    behind = stored.revision[places] != stored.reckoned_revision[places]
    rows = _rows(stored, places, block, answers, np.flatnonzero(changed))
    moves = _moves(stored, places[changed], rows, now)
    untouched = np.flatnonzero(behind & ~changed)
    few = max(len(rows) + len(untouched), len(histories)) < MANY
    if few and connection.vendor == "postgresql":
        told = [*rows, *_rows(stored, places, block, answers, untouched)]
        _write_at_once(told, moves, histories)
    else:
        write_histories(histories)
        _write_answers(rows)
        _execute(MARK_RECKONED, [_key(stored, at) for at in places[untouched].tolist()])
        _log(moves)
    return rows


def _write_at_once(rows: Rows, moves: Rows, histories: Rows) -> None:
    """A few answers with what moved and what was built for them, in one statement.

    A row that somebody touched meanwhile moves nothing.
    """
    if not (rows or histories):
        return
    statement = WRITE_AT_ONCE.format(
        answers=_arrays(ANSWER_TYPES), answer_names=", ".join(ANSWER_TYPES),
        histories=WRITE_HISTORY.format(rows=FROM_ARRAYS.format(_arrays(HISTORY_TYPES))),
        changes=_arrays(CHANGE_TYPES), change_names=", ".join(CHANGE_TYPES),
    )  # fmt: skip
    told = (rows, ANSWER_TYPES), (histories, HISTORY_TYPES), (moves, CHANGE_TYPES)
    run(statement, [column for each, types in told for column in _columns(each, types)])


def _arrays(types: Mapping[str, str]) -> str:
    return ", ".join(f"%s::{type_}[]" for type_ in types.values())


def _columns(rows: Rows, types: Mapping[str, str]) -> list[list[Any]]:
    return [list(column) for column in zip(*rows, strict=True)] or [[] for _ in types]


def write_histories(rebuilt: Rows) -> None:
    """Keep the packed histories that had to be built, rows as HISTORY_TYPES names them."""
    if connection.vendor != "postgresql":
        _execute(WRITE_HISTORY.format(rows="VALUES (%s, %s, %s, %s)"), rebuilt)
        return
    statement = WRITE_HISTORY.format(rows=FROM_ARRAYS.format(_arrays(HISTORY_TYPES)))
    for begin in range(0, len(rebuilt), AT_ONCE):
        run(statement, _columns(rebuilt[begin : begin + AT_ONCE], HISTORY_TYPES))


def write_faults(faults: dict[int, tuple[int, str]]) -> None:
    """Say of a fan that it could not be reckoned; its old dates stay beside the reason."""
    for fan_id, (revision, text) in faults.items():
        DueState.objects.filter(fan=fan_id, revision=revision).update(
            fault=text, reckoned_revision=revision
        )


def _differing(
    stored: Stored, places: NDArray[np.intp], answers: NDArray[np.void]
) -> NDArray[np.bool_]:
    """Whether what is stored differs from the answer in any byte, shape (N,)."""
    width, nothing = ANSWER.itemsize, bytes(ANSWER.itemsize)
    before = [stored.dates[at] or nothing for at in places.tolist()]
    packed = b"".join(old if len(old) == width else nothing for old in before)
    shape = len(answers), width
    old, new = (np.frombuffer(each, np.uint8).reshape(shape) for each in (packed, answers.data))
    return np.asarray((old != new).any(axis=1))


def _rows(
    stored: Stored,
    places: NDArray[np.intp],
    block: BlockDates,
    answers: NDArray[np.void],
    changed: NDArray[np.intp],
) -> Rows:
    """Rows as ANSWER_TYPES names them, of the fans changed."""
    at = places[changed].tolist()
    due, overdue, not_before = (
        _dates(days[changed])
        for days in (block.due_day, block.overdue_after_day, block.not_before_day)
    )
    width, packed = ANSWER.itemsize, answers[changed].tobytes()
    return list(
        zip(
            due,
            [rule or None for rule in block.due_rule[changed].tolist()],
            overdue,
            [rule or None for rule in block.overdue_rule[changed].tolist()],
            not_before,
            [packed[begin : begin + width] for begin in range(0, len(packed), width)],
            block.worst_verdict[changed].tolist(),
            stored.revision[places[changed]].tolist(),
            [stored.fan_ids[i] for i in at],
            strict=True,
        )
    )


def _dates(days: Days) -> list[date | None]:
    return [as_date(day) for day in days.tolist()]


def _key(stored: Stored, at: int) -> tuple[int, int]:
    return int(stored.revision[at]), stored.fan_ids[at]


def _write_answers(rows: Rows) -> None:
    if connection.vendor != "postgresql" or len(rows) < MANY:
        _execute(WRITE_ANSWER, rows)
        return
    with connection.cursor() as cursor:
        cursor.execute(FRESH)
        _copy("fresh_answer", ANSWER_TYPES, rows)
        # The table is too new for the planner to know how few rows it has: say where they lie.
        cursor.execute(WRITE_FRESH, [rows[0][-1], rows[-1][-1]])
        cursor.execute("DROP TABLE fresh_answer")


def _execute(statement: str, rows: Rows) -> None:
    if rows:
        with connection.cursor() as cursor:
            cursor.executemany(statement, rows)


def _copy(table: str, types: Mapping[str, str], rows: Rows) -> None:
    """PostgreSQL's quick way in; ``types`` are the columns' own."""
    statement = f"COPY {table} ({', '.join(types)}) FROM STDIN (FORMAT BINARY)"
    with connection.cursor() as cursor, cursor.copy(statement) as copy:
        copy.set_types(list(types.values()))
        for row in rows:
            copy.write_row(row)


def _moves(stored: Stored, places: NDArray[np.intp], rows: Rows, now: datetime) -> Rows:
    """Moves of a day or its rule, as rows of CHANGE_TYPES; a fan's first answer is no change."""
    moves = []
    # As the ORM writes it: SQLite compares text, and with an offset it is another one.
    moved_at: Any = connection.ops.adapt_datetimefield_value(now)
    for at, (due_on, due_rule, *_) in zip(places.tolist(), rows, strict=True):
        before = stored.due_on[at], stored.due_rule[at]
        if stored.reckoned_revision[at] and before != (due_on, due_rule):
            moves.append((stored.fan_ids[at], moved_at, before[0], due_on, before[1], due_rule))
    return moves


def _log(moves: Rows) -> None:
    """Remember what moved."""
    if connection.vendor == "postgresql" and len(moves) >= MANY:
        _copy("schedules_duechange", CHANGE_TYPES, moves)
    else:
        _execute(WRITE_CHANGE, moves)
