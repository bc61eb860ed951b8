"""Write rows of one model by a statement made once, which PostgreSQL plans once.

``bulk_create`` builds its SQL anew every time, with a place for each value: of a table with a
hundred columns and as many constraints that costs several times what writing a row does.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

from django.db import connection
from django.db.models import AutoField, Field, Model

from config.questions import KIND_OF_FIELD, SLOT_TYPES, fetch

INSERT = "INSERT INTO {} ({}) SELECT * FROM unnest({}) RETURNING {}"
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
        columns = [[_value(field, row) for row in part] for field in fields]
        for row, (key,) in zip(part, fetch(statement, columns, prepare=True), strict=True):
            row.pk, row._state.adding, row._state.db = key, False, connection.alias


@lru_cache
def _insertion(model: type[Model]) -> tuple[tuple[Field[Any, Any], ...], str]:
    """The columns to be given, and the statement that takes each as an array."""
    meta, quote = model._meta, connection.ops.quote_name
    fields = tuple(f for f in meta.concrete_fields if not isinstance(f, AutoField))
    columns = ", ".join(quote(str(field.column)) for field in fields)
    arrays = ", ".join(f"%s::{_type(field)}[]" for field in fields)
    key = quote(str(meta.pk.column))
    return fields, INSERT.format(quote(meta.db_table), columns, arrays, key)


def _type(field: Any) -> str:
    """Wide enough for anything: what does not fit the column itself is then refused, not cut."""
    target = getattr(field, "target_field", field)
    return SLOT_TYPES[KIND_OF_FIELD[target.get_internal_type()]]


def _value(field: Field[Any, Any], row: Model) -> Any:
    value = field.get_db_prep_save(field.pre_save(row, add=True), connection)
    return str(value) if isinstance(value, str) else value
