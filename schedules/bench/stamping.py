"""Rows of a sample put down again for other sites, by the database itself: a fleet in minutes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.core.management.color import no_style
from django.db import connection
from django.db.models import CharField, Field, ForeignKey, Max, Model, UUIDField

Table = type[Model]


def stamp_out(tables: Sequence[Table], copies: int) -> None:
    """Put every row of these tables down ``copies`` times more, each copy's rows about each other.

    ``tables`` stand in order: those that others name come first.  A number as key rises by the
    highest there was, an id is made of the old one and the copy's number; what must be unique has
    the latter behind it.
    """
    if copies < 1:
        return
    strides = {table: _highest(table) for table in tables}
    numbers = " UNION ALL ".join(f"SELECT {copy} AS copy" for copy in range(1, copies + 1))
    with connection.cursor() as cursor:
        for table in tables:
            columns = {
                connection.ops.quote_name(str(field.column)): _copied(field, strides)
                for field in table._meta.concrete_fields
            }
            name = connection.ops.quote_name(table._meta.db_table)
            cursor.execute(
                f"INSERT INTO {name} ({', '.join(columns)}) "  # noqa: S608  # names of ours
                f"SELECT {', '.join(columns.values())} FROM {name} AS old, ({numbers}) AS n"
            )
        for statement in connection.ops.sequence_reset_sql(no_style(), list(tables)):
            cursor.execute(statement)


def _highest(table: Table) -> int:
    if isinstance(table._meta.pk, UUIDField):
        return 0
    return table._base_manager.aggregate(highest=Max("pk"))["highest"] or 0


def _copied(field: Field[Any, Any], strides: Mapping[Table, int]) -> str:
    """What stands in a copy's column."""
    old = f"old.{connection.ops.quote_name(str(field.column))}"
    if isinstance(field, ForeignKey):
        about = field.related_model
        if about not in strides:
            return old
        return _key(old, about._meta.pk, strides[about])
    if field.primary_key:
        return _key(old, field, strides[field.model])
    if field.unique and isinstance(field, CharField):
        return f"{old} || ' ' || n.copy"
    return old


def _key(old: str, key: Any, stride: int) -> str:
    while isinstance(key, ForeignKey):
        key = key.target_field
    if not isinstance(key, UUIDField):
        return f"{old} + n.copy * {stride}"
    if connection.vendor == "postgresql":
        return f"MD5({old}::text || n.copy)::uuid"
    return f"MD5({old} || n.copy)"
