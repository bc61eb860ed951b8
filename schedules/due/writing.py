"""Write what a reckoning changed, and nothing else, each row under the revision it was read at."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import connection

from config.statements import run
from schedules.due.fresh import Fresh, Rows
from schedules.models import DueState

ANSWER_TYPES = {
    "due_on": "date", "due_rule": "int2", "overdue_after": "date", "overdue_rule": "int2",
    "not_before": "date", "dates": "bytea", "worst_verdict": "int2", "made_safe_on": "date",
    "revision": "int8", "fan_id": "int8",
}  # fmt: skip
WRITE_ANSWER = """
    UPDATE schedules_duestate
    SET due_on = %s, due_rule = %s, overdue_after = %s, overdue_rule = %s, not_before = %s,
        dates = %s, worst_verdict = %s, made_safe_on = %s, fault = '',
        reckoned_revision = revision
    WHERE revision = %s AND fan_id = %s
"""
FRESH = """
    CREATE TEMPORARY TABLE fresh_answer (
        due_day int, due_rule smallint, overdue_after_day int, overdue_rule smallint,
        not_before_day int, dates bytea, worst_verdict smallint, made_safe_day int,
        revision bigint, fan_id bigint
    ) ON COMMIT DROP
"""
"""As ``Fresh`` names its columns, days as ordinals."""

WRITE_FRESH = """
    UPDATE schedules_duestate AS d
    SET due_on = DATE '0001-01-01' + (nullif(n.due_day, 0) - 1),
        due_rule = nullif(n.due_rule, 0),
        overdue_after = DATE '0001-01-01' + (nullif(n.overdue_after_day, 0) - 1),
        overdue_rule = nullif(n.overdue_rule, 0),
        not_before = DATE '0001-01-01' + (nullif(n.not_before_day, 0) - 1),
        dates = n.dates, worst_verdict = n.worst_verdict,
        made_safe_on = DATE '0001-01-01' + (nullif(n.made_safe_day, 0) - 1), fault = '',
        reckoned_revision = d.revision
    FROM fresh_answer AS n
    WHERE d.fan_id = n.fan_id AND d.revision = n.revision AND d.fan_id BETWEEN %s AND %s
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
WRITE_FEW = """
    WITH written AS (
        UPDATE schedules_duestate AS d
        SET due_on = n.due_on, due_rule = n.due_rule, overdue_after = n.overdue_after,
            overdue_rule = n.overdue_rule, not_before = n.not_before, dates = n.dates,
            worst_verdict = n.worst_verdict, made_safe_on = n.made_safe_on, fault = '',
            reckoned_revision = d.revision
        FROM json_to_recordset(%s::json) AS n ({answers})
        WHERE d.fan_id = n.fan_id AND d.revision = n.revision
        RETURNING d.fan_id
    ), kept AS ({histories})
    INSERT INTO schedules_duechange ({moved})
    SELECT {moved} FROM json_to_recordset(%s::json) AS c ({changes}) JOIN written USING (fan_id)
"""
HISTORY_TYPES = {"fan_id": "int8", "version": "int8", "revision": "int8", '"row"': "bytea"}
WRITE_HISTORY = """
    INSERT INTO schedules_fanhistory (fan_id, version, revision, "row") {rows}
    ON CONFLICT (fan_id) DO UPDATE
    SET version = excluded.version, revision = excluded.revision, "row" = excluded."row"
"""
FROM_ARRAYS = "SELECT * FROM unnest({})"
FROM_JSON = "SELECT * FROM json_to_recordset(%s::json) AS n ({})"


def _named(types: Mapping[str, str]) -> str:
    return ", ".join(f"{name} {type_}" for name, type_ in types.items())


WRITE_ALL_OF_FEW = WRITE_FEW.format(
    answers=_named(ANSWER_TYPES),
    histories=WRITE_HISTORY.format(rows=FROM_JSON.format(_named(HISTORY_TYPES))),
    changes=_named(CHANGE_TYPES),
    moved=", ".join(CHANGE_TYPES),
)
AT_ONCE = 500
MANY = 16
"""So many rows are worth a COPY, which costs a few round trips more than it saves for one."""


def write_part(fresh: Fresh, now: datetime, histories: Rows = ()) -> None:
    """Store fresh answers and log what moved, with ``histories`` as HISTORY_TYPES names them."""
    if connection.vendor == "postgresql" and max(len(fresh.at), len(histories)) >= MANY:
        _write_histories(histories)
        _copy_answers(fresh)
        _copy_changes(fresh.moves(now))
        return
    rows, moves = fresh.rows, fresh.moves(now)
    if connection.vendor == "postgresql":
        _write_at_once(rows, moves, histories)
    else:
        _execute(WRITE_HISTORY.format(rows="VALUES (%s, %s, %s, %s)"), histories)
        _execute(WRITE_ANSWER, rows)
        _execute(WRITE_CHANGE, moves)


def _write_at_once(rows: Rows, moves: Rows, histories: Rows) -> None:
    """A few answers with what moved and what was built for them, in one statement.

    A row that somebody touched meanwhile moves nothing.
    """
    if not (rows or histories):
        return
    told = (rows, ANSWER_TYPES), (histories, HISTORY_TYPES), (moves, CHANGE_TYPES)
    run(WRITE_ALL_OF_FEW, [_as_json(each, types) for each, types in told])


def _as_json(rows: Rows, types: Mapping[str, str]) -> str:
    """Rows as one value: an array for each column takes longer to make than its few values."""
    names = [name.strip('"') for name in types]
    return json.dumps([dict(zip(names, row, strict=True)) for row in rows], default=_plain)


def _plain(value: Any) -> str:
    """What JSON has no form of, as PostgreSQL reads it."""
    return f"\\x{value.hex()}" if isinstance(value, bytes) else value.isoformat()


def _arrays(types: Mapping[str, str]) -> str:
    return ", ".join(f"%s::{type_}[]" for type_ in types.values())


def _columns(rows: Rows, types: Mapping[str, str]) -> list[list[Any]]:
    return [list(column) for column in zip(*rows, strict=True)] or [[] for _ in types]


def _write_histories(rebuilt: Rows) -> None:
    """Keep the packed histories that had to be built."""
    statement = WRITE_HISTORY.format(rows=FROM_ARRAYS.format(_arrays(HISTORY_TYPES)))
    for begin in range(0, len(rebuilt), AT_ONCE):
        run(statement, _columns(rebuilt[begin : begin + AT_ONCE], HISTORY_TYPES))


def write_faults(faults: dict[int, tuple[int, str]]) -> None:
    """Say of a fan that it could not be reckoned; its old dates stay beside the reason."""
    for fan_id, (revision, text) in faults.items():
        DueState.objects.filter(fan=fan_id, revision=revision).update(
            fault=text, reckoned_revision=revision
        )


def _copy_answers(fresh: Fresh) -> None:
    if not len(fresh.at):
        return
    fan_ids = fresh.columns["fan_id"]
    with connection.cursor() as cursor:
        cursor.execute(FRESH)
        with cursor.copy("COPY fresh_answer FROM STDIN (FORMAT BINARY)") as copy:
            copy.write(fresh.copied())
        # The table is too new for the planner to know how few rows it has: say where they lie.
        cursor.execute(WRITE_FRESH, [int(fan_ids.min()), int(fan_ids.max())])
        cursor.execute("DROP TABLE fresh_answer")


def _copy_changes(moves: Rows) -> None:
    if not moves:
        return
    statement = f"COPY schedules_duechange ({', '.join(CHANGE_TYPES)}) FROM STDIN (FORMAT BINARY)"
    with connection.cursor() as cursor, cursor.copy(statement) as copy:
        copy.set_types(list(CHANGE_TYPES.values()))
        for move in moves:
            copy.write_row(move)


def _execute(statement: str, rows: Rows) -> None:
    if rows:
        with connection.cursor() as cursor:
            cursor.executemany(statement, rows)
