"""Write rows of several models in one statement, made once and planned once by PostgreSQL.

``bulk_create`` builds its SQL anew every time, with a place for each value: of a table with a
hundred columns and as many constraints that costs several times what writing a row does.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Sequence
from datetime import date
from functools import lru_cache, partial
from itertools import chain
from typing import Any

from django.db import connection
from django.db.models import AutoField, Field, Model

from config.statements import run

INSERT = """t{number} AS (
    INSERT INTO {table} ({columns})
    SELECT {columns} FROM json_populate_recordset(NULL::{table}, %s::json)
)"""
AT_ONCE = 1_000


def ready(tables: Iterable[Sequence[Model]]) -> Callable[[], object]:
    """Unsaved rows, each sequence of one model, made ready; gives what inserts them.

    Rows of one call may name each other, those named first.  Keys that the database gives stay
    untold.
    """
    given = [rows for rows in tables if rows]
    if connection.vendor != "postgresql" or max(map(len, given), default=0) > AT_ONCE:
        return partial(_insert_in_turn, given)
    return _ready_at_once(given) if given else list


def _insert_in_turn(given: Sequence[Sequence[Model]]) -> None:
    for rows in given:
        type(rows[0])._default_manager.bulk_create(rows, batch_size=AT_ONCE)


def _ready_at_once(given: Sequence[Sequence[Model]]) -> Callable[[], object]:
    """Each table's rows as one value: whatever is filled in, the statement stays the same."""
    models = tuple(type(rows[0]) for rows in given)
    told = [
        json.dumps([_filled(_columns(model), row) for row in rows], default=_plain)
        for model, rows in zip(models, given, strict=True)
    ]
    for row in chain.from_iterable(given):
        row._state.adding, row._state.db = False, connection.alias
    return partial(run, _statement(models), told)


@lru_cache
def _columns(model: type[Model]) -> tuple[Field[Any, Any], ...]:
    """The columns that a row brings along."""
    return tuple(f for f in model._meta.concrete_fields if not isinstance(f, AutoField))


@lru_cache
def _statement(models: tuple[type[Model], ...]) -> str:
    """Insert into all these tables."""
    quote = connection.ops.quote_name
    inserts = []
    for number, model in enumerate(models):
        columns = ", ".join(quote(str(field.column)) for field in _columns(model))
        table = quote(model._meta.db_table)
        inserts.append(INSERT.format(number=number, table=table, columns=columns))
    return f"WITH {', '.join(inserts)} SELECT"


def _filled(fields: Sequence[Field[Any, Any]], row: Model) -> dict[str, Any]:
    """A row's columns as far as they are not NULL; none of ours fills itself in when saved."""
    values = vars(row)
    return {
        str(field.column): field.get_prep_value(value)
        for field in fields
        if (value := values[field.attname]) is not None
    }


def _plain(value: Any) -> str:
    """What JSON has no form of, as PostgreSQL reads it."""
    return value.isoformat() if isinstance(value, date) else str(value)
