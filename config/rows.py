"""Write rows of one model by a statement made once, which PostgreSQL plans once.

``bulk_create`` builds its SQL anew every time, with a place for each value: of a table with a
hundred columns and as many constraints that costs several times what writing a row does.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date
from functools import lru_cache
from typing import Any

from django.db import connection
from django.db.models import AutoField, Field, Model

from config.questions import fetch

INSERT = """
    INSERT INTO {table} ({columns})
    SELECT {columns} FROM json_populate_recordset(NULL::{table}, %s::json) RETURNING {key}
"""
AT_ONCE = 1_000


def insert(rows: Sequence[Model]) -> None:
    """Insert unsaved rows of one model; those whose key the database gives have it afterwards."""
    if not rows:
        return
    model = type(rows[0])
    if connection.vendor != "postgresql":
        model._default_manager.bulk_create(rows, batch_size=AT_ONCE)
        return
    fields, statement = _insertion(model)
    for begin in range(0, len(rows), AT_ONCE):
        part = rows[begin : begin + AT_ONCE]
        # All as one value of one type, whatever is filled in: the statement stays the same.
        told = json.dumps([_filled(fields, row) for row in part], default=_plain)
        for row, (key,) in zip(part, fetch(statement, [told], prepare=True), strict=True):
            row.pk, row._state.adding, row._state.db = key, False, connection.alias


@lru_cache
def _insertion(model: type[Model]) -> tuple[tuple[Field[Any, Any], ...], str]:
    """The columns to be given, and the statement that takes rows of them."""
    meta, quote = model._meta, connection.ops.quote_name
    fields = tuple(f for f in meta.concrete_fields if not isinstance(f, AutoField))
    return fields, INSERT.format(
        table=quote(meta.db_table),
        columns=", ".join(quote(str(field.column)) for field in fields),
        key=quote(str(meta.pk.column)),
    )


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
