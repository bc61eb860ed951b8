"""Rows of any table as lines of JSON and back, to the last microsecond, and the keys given so far.

Django's own serializers write milliseconds, and know only the tables of the code that runs: a
backup of an older version goes into the tables that version had.
"""

from __future__ import annotations

import json
from base64 import b64encode
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, time
from decimal import Decimal
from itertools import islice
from typing import Any
from uuid import UUID

from django.apps.registry import Apps
from django.core.management.color import no_style
from django.db import connection
from django.db.models import AutoField, Field, Model

FILLED_BY_MIGRATING = frozenset({"contenttypes.contenttype", "auth.permission"})
LEFT_OUT = frozenset(
    {
        "sessions.session",  # its key is what a signed-in browser shows
        "axes.accessattempt",
        "axes.accessfailurelog",
        "axes.accesslog",
        "axes.accessattemptexpiration",
        "fleet.linkguesses",
        "schedules.fanhistory",  # packed from the rest
        "schedules.job",  # whose turn it is: on another day it is all turns anyway
    }
)
AT_ONCE = 500
Row = Mapping[str, Any]
Table = type[Model]


def tables_of(apps: Apps) -> dict[str, Table]:
    """Every table of these models by its label, also those between many and many."""
    models = apps.get_models(include_auto_created=True)
    return {model._meta.label_lower: model for model in models if model._meta.managed}


def kept_tables(apps: Apps) -> dict[str, Table]:
    """The tables that go into a backup."""
    return {label: table for label, table in tables_of(apps).items() if label not in LEFT_OUT}


def lines_of(table: Table) -> Iterator[bytes]:
    """Every row as a line, in order of keys; the caller sees to one snapshot."""
    names = [field.attname for field in _columns(table)]
    rows = table._base_manager.order_by("pk").values_list(*names)
    for values in rows.iterator(chunk_size=AT_ONCE):
        row = {name: value for name, value in zip(names, values, strict=True) if value is not None}
        line = json.dumps(row, default=_plain, ensure_ascii=False, separators=(",", ":"))
        yield line.encode() + b"\n"


def insert_rows(table: Table, rows: Iterable[Row]) -> None:
    """Put rows in as they were: no default, moment or key is made anew."""
    quote, fields = connection.ops.quote_name, _columns(table)
    names = ", ".join(quote(str(field.column)) for field in fields)
    places = ", ".join(["%s"] * len(fields))
    statement = f"INSERT INTO {quote(table._meta.db_table)} ({names}) VALUES ({places})"  # noqa: S608
    left = iter(rows)
    with connection.cursor() as cursor:
        while some := list(islice(left, AT_ONCE)):
            cursor.executemany(statement, [_values(fields, row) for row in some])


def _columns(table: Table) -> list[Field[Any, Any]]:
    return [field for field in table._meta.concrete_fields if not field.generated]


def _values(fields: list[Field[Any, Any]], row: Row) -> list[Any]:
    unknown = row.keys() - {field.attname for field in fields}
    if unknown:
        raise ValueError(f"no column {', '.join(sorted(unknown))}")
    return [
        field.get_db_prep_save(field.to_python(row.get(field.attname)), connection)
        for field in fields
    ]


def _plain(value: Any) -> str:
    """What JSON has no form of, as the column's ``to_python`` reads it."""
    if isinstance(value, bytes | memoryview):
        return b64encode(value).decode()
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, Decimal | UUID):
        return str(value)
    raise TypeError(f"{type(value).__name__} has no form in a backup")


def read_next_keys(tables: Mapping[str, Table]) -> dict[str, int]:
    """The highest key ever given in each table; a row thrown out since had it too."""
    asked = {
        "postgresql": "SELECT pg_sequence_last_value(pg_get_serial_sequence(%s, %s)::regclass)",
        "sqlite": "SELECT seq FROM sqlite_sequence WHERE name = %s AND %s <> ''",
    }[connection.vendor]
    found = {}
    with connection.cursor() as cursor:
        for label, table in _counting(tables):
            cursor.execute(asked, _counter(table))
            told = cursor.fetchone()
            if told and told[0]:
                found[label] = told[0]
    return found


def write_next_keys(tables: Mapping[str, Table], keys: Mapping[str, int]) -> None:
    """Go on counting after those keys: the next row is nobody's who has a history already."""
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), list(tables.values())):
            cursor.execute(statement)  # past the rows there are, then past those there were
        for label, table in _counting(tables):
            if label not in keys:
                continue
            name, column = _counter(table)
            if connection.vendor == "postgresql":
                moved = "SELECT setval(pg_get_serial_sequence(%s, %s), %s)"
                cursor.execute(moved, [name, column, keys[label]])
            else:
                cursor.execute("DELETE FROM sqlite_sequence WHERE name = %s", [name])
                row = "INSERT INTO sqlite_sequence (name, seq) VALUES (%s, %s)"
                cursor.execute(row, [name, keys[label]])


def _counting(tables: Mapping[str, Table]) -> Iterator[tuple[str, Table]]:
    return ((label, t) for label, t in tables.items() if isinstance(t._meta.pk, AutoField))


def _counter(table: Table) -> list[str]:
    """The table and its key's column; PostgreSQL parses the former as it would in a statement."""
    name = table._meta.db_table
    quoted = connection.ops.quote_name(name) if connection.vendor == "postgresql" else name
    return [quoted, str(table._meta.pk.column)]
