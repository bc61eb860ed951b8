"""Write rows of several models in one statement, made once and planned once by PostgreSQL.

``bulk_create`` builds its SQL anew every time, with a place for each value: of a table with a
hundred columns and as many constraints that costs several times what writing a row does.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from datetime import date
from functools import lru_cache
from typing import Any

from django.db import connection
from django.db.models import AutoField, Field, Model

from config.questions import fetch

INSERT = """t{number} AS (
    INSERT INTO {table} ({columns})
    SELECT {columns} FROM json_populate_recordset(NULL::{table}, %s::json) RETURNING {key}
)"""
KEYS = "SELECT {number}, {key} FROM t{number}"
NO_KEYS = "SELECT 0, 0 WHERE false"
AT_ONCE = 1_000


def insert(tables: Iterable[Sequence[Model]]) -> None:
    """Insert unsaved rows, each sequence of one model; keys that the database gives are set.

    Rows of one call may name each other, those named first.
    """
    given = [rows for rows in tables if rows]
    if connection.vendor != "postgresql" or max(map(len, given), default=0) > AT_ONCE:
        for rows in given:
            type(rows[0])._default_manager.bulk_create(rows, batch_size=AT_ONCE)
        return
    if given:
        _insert_at_once(given)


def _insert_at_once(given: Sequence[Sequence[Model]]) -> None:
    """Each table's rows as one value: whatever is filled in, the statement stays the same."""
    models = tuple(type(rows[0]) for rows in given)
    told = [
        json.dumps([_filled(_columns(model), row) for row in rows], default=_plain)
        for model, rows in zip(models, given, strict=True)
    ]
    keys: list[list[Any]] = [[] for _ in given]
    for number, key in fetch(_statement(models), told, prepare=True):
        keys[number].append(key)
    for rows, made in zip(given, keys, strict=True):
        for row, key in zip(rows, made, strict=bool(made)):
            row.pk = key
        for row in rows:
            row._state.adding, row._state.db = False, connection.alias


@lru_cache
def _columns(model: type[Model]) -> tuple[Field[Any, Any], ...]:
    """The columns that a row brings along."""
    return tuple(f for f in model._meta.concrete_fields if not isinstance(f, AutoField))


@lru_cache
def _statement(models: tuple[type[Model], ...]) -> str:
    """Insert into these tables and tell the keys made, each with its table's number."""
    quote = connection.ops.quote_name
    inserts, keys = [], [NO_KEYS]
    for number, model in enumerate(models):
        key = quote(str(model._meta.pk.column))
        columns = ", ".join(quote(str(field.column)) for field in _columns(model))
        table = quote(model._meta.db_table)
        inserts.append(INSERT.format(number=number, table=table, columns=columns, key=key))
        if isinstance(model._meta.pk, AutoField):
            keys.append(KEYS.format(number=number, key=key))
    return f"WITH {', '.join(inserts)} {' UNION ALL '.join(keys)}"


def _filled(fields: Sequence[Field[Any, Any]], row: Model) -> dict[str, Any]:
    """A row's columns as far as they are not NULL."""
    values = ((field, field.pre_save(row, add=True)) for field in fields)
    return {
        str(field.column): field.get_prep_value(value)
        for field, value in values
        if value is not None
    }


def _plain(value: Any) -> str:
    """What JSON has no form of, as PostgreSQL reads it."""
    return value.isoformat() if isinstance(value, date) else str(value)
