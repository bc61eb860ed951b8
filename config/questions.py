"""Ask many querysets in one statement, compiled once and prepared by the database.

What a posted visit hangs on lies in a dozen tables.  A query each costs a round trip and, more than
that, the building of its SQL.  A ``Question`` builds the SQL of all its parts once and joins them
by UNION ALL.  On PostgreSQL, where the parts of a union must agree on types, each part gives an
array for each kind of its columns: with a column for every column of every part, filling in the
NULLs would cost more than finding the rows.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from itertools import chain
from operator import itemgetter
from typing import Any, ClassVar
from uuid import UUID

import psycopg
from django.db import DEFAULT_DB_ALIAS, connection, connections
from django.db.models import Field, ForeignKey, JSONField, Lookup, QuerySet
from django.db.models.expressions import Col

Row = dict[str, Any]
Values = QuerySet[Any, Any]
Part = Callable[[Mapping[str, Any]], Values]

FEW = 64
"""Values up to which the database does well with a plan that knows nothing of them."""

AT_ONCE = 256
"""Rows taken over together where there are many."""

DECODER = json.JSONDecoder()
EMPTY: dict[str | None, Callable[[], Any]] = {"{}": dict, "[]": list}
"""What half of all JSON on record is, made without parsing."""

KINDS = {
    "integer": "bigint", "float": "double precision", "text": "text", "date": "date",
    "instant": "timestamptz", "uuid": "uuid", "boolean": "boolean", "json": "text",
    "number": "numeric", "bytes": "bytea",
}  # fmt: skip
"""Kinds of columns with the type in which PostgreSQL sends them; JSON is parsed here."""

KIND_OF_FIELD = {
    "AutoField": "integer", "BigAutoField": "integer", "BigIntegerField": "integer",
    "IntegerField": "integer", "PositiveIntegerField": "integer", "SmallIntegerField": "integer",
    "PositiveBigIntegerField": "integer", "PositiveSmallIntegerField": "integer",
    "FloatField": "float", "CharField": "text", "TextField": "text", "DateField": "date",
    "DateTimeField": "instant", "UUIDField": "uuid", "BooleanField": "boolean",
    "JSONField": "json", "DecimalField": "number", "BinaryField": "bytes",
}  # fmt: skip


@dataclass(frozen=True)
class Given:
    """Stands in a queryset for a list of values that each asking brings under this name."""

    name: str


@ForeignKey.register_lookup
@Field.register_lookup
class Among(Lookup):
    """``among``: one of a list that goes over as a single value, so that the SQL stays the same.

    Takes a ``Given`` or a sequence.
    """

    lookup_name = "among"
    prepare_rhs = False
    sql: ClassVar = {
        "postgresql": "{} = ANY(%s)", "sqlite": "{} IN (SELECT value FROM json_each(%s))",
    }  # fmt: skip

    def as_sql(self, compiler: Any, connection: Any) -> tuple[str, Any]:
        column, params = self.process_lhs(compiler, connection)
        value = self.rhs if isinstance(self.rhs, Given) else listed(self.rhs)
        return self.sql[connection.vendor].format(column), [*params, value]


@Field.register_lookup
class Since(Among):
    """``since``: at or after the first of a list; nothing is, where the list is empty."""

    lookup_name = "since"
    sql: ClassVar = {
        "postgresql": "{} >= ANY(%s)", "sqlite": "{} >= (SELECT min(value) FROM json_each(%s))",
    }  # fmt: skip


def among(column: str) -> str:
    """The condition that a column is among values handed over as one ``listed`` value."""
    return Among.sql[connection.vendor].format(column)


def listed(values: Iterable[Any]) -> Any:
    """Many values as one: a statement with a place for each is parsed anew every time."""
    if connection.vendor == "postgresql":
        return list(values)
    return json.dumps([_plain(each) for each in values])


def _plain(value: Any) -> Any:
    """A value as SQLite keeps it."""
    if isinstance(value, UUID):
        return value.hex
    return value.isoformat() if isinstance(value, date) else value


def fetch(statement: str, values: Sequence[Any], *, prepare: bool = False) -> list[tuple[Any, ...]]:
    """All rows of one statement, as the database's own driver gives them.

    ``prepare`` has PostgreSQL keep the plan of what this connection asks again.
    """
    if connection.vendor == "postgresql":
        with _driver(statement) as raw:
            return fetch_raw(raw, statement, values, prepare=prepare)
    with connection.cursor() as cursor:
        return list(cursor.execute(statement, values).fetchall())


def fetch_raw(
    raw: psycopg.Connection[Any],
    statement: str,
    values: Sequence[Any],
    *,
    prepare: bool = False,
) -> list[tuple[Any, ...]]:
    """The same on a connection of PostgreSQL's driver."""
    # Django's own cursors write values into the statement, which is then another every time.
    with psycopg.RawCursor(raw) as cursor:
        kept = None if prepare else False  # as often asked as the connection wants it to be
        told = _numbered(statement)
        return cursor.execute(told, values, binary=True, prepare=kept).fetchall()


def stream_raw(
    raw: psycopg.Connection[Any], statement: str, values: Sequence[Any]
) -> list[tuple[Any, ...]]:
    """Many rows, taken over a few at a time: they lie in memory once, and near the processor."""
    with psycopg.Cursor(raw) as cursor:
        return list(cursor.stream(statement, values, binary=True, size=AT_ONCE))


def run(statement: str, values: Sequence[Any]) -> int:
    """Carry out a statement, which PostgreSQL prepares; the number of rows it touched."""
    if connection.vendor == "postgresql":
        with _driver(statement) as raw, psycopg.RawCursor(raw) as cursor:
            return cursor.execute(_numbered(statement), values).rowcount
    with connection.cursor() as cursor:
        return int(cursor.execute(statement, values).rowcount)


@contextmanager
def _driver(statement: str) -> Iterator[psycopg.Connection[Any]]:
    """PostgreSQL's own connection, with Django's checks and errors about it as for its cursors."""
    here = connections[DEFAULT_DB_ALIAS]  # ``connection`` looks for it with every attribute
    here.close_if_health_check_failed()
    here.ensure_connection()
    if here.queries_logged:
        here.queries_log.append({"sql": statement, "time": ""})
    with here.wrap_database_errors:
        yield here.connection


@lru_cache(maxsize=256)
def _numbered(statement: str) -> str:
    """The statement with its places numbered, as PostgreSQL wants them.

    Else psycopg looks for them anew every time in whatever is longer than a page or two.
    """
    first, *others = statement.split("%s")
    return first + "".join(f"${number}{text}" for number, text in enumerate(others, 1))


class Question:
    """Named querysets of ``values()``, asked together.

    Each part is a function of what is given by name: lists of values, or what stands for them.  Its
    order is kept; what it is ordered by must be among its columns and never NULL.
    """

    def __init__(self, given: Iterable[str], **parts: Part) -> None:
        self._given = {name: Given(name) for name in given}
        self._parts = parts
        self._laid: dict[str, _Laid] = {}

    def ask(self, **given: Sequence[Any]) -> dict[str, list[Row]]:
        """Rows of every part, in one statement; for few values by a plan made once."""
        laid = self._laid.get(connection.vendor)
        if laid is None:
            querysets = {name: part(self._given) for name, part in self._parts.items()}
            laid = self._laid[connection.vendor] = _Laid.of(querysets)
        values = {name: listed(each) for name, each in given.items()}
        few = all(len(each) <= FEW for each in given.values())
        params = [values[p.name] if isinstance(p, Given) else p for p in laid.params]
        found: list[list[Row]] = [[] for _ in laid.parts]
        for number, *cells in fetch(laid.sql, params, prepare=few):
            told = chain.from_iterable(filter(None, cells)) if laid.in_arrays else cells
            found[number].append(laid.parts[number].read(told))
        return {
            part.name: part.in_order(rows) for part, rows in zip(laid.parts, found, strict=True)
        }

    def ask_one_by_one(self, **given: Sequence[Any]) -> dict[str, list[Row]]:
        """The same rows, each part by a query of its own, as any page of Django would."""
        return {name: list(part(given)) for name, part in self._parts.items()}


@dataclass(frozen=True)
class _Part:
    """One queryset compiled: what it selects, kind by kind, and how that is read back."""

    name: str
    sql: str
    params: tuple[Any, ...]
    columns: tuple[str, ...]
    kinds: tuple[str, ...]
    converters: tuple[tuple[str, Any, Any], ...]
    order: tuple[str, ...]

    @staticmethod
    def of(name: str, queryset: Values) -> _Part:
        compiler = queryset.order_by().query.get_compiler(connection=connection)
        sql, params = compiler.as_sql(with_col_aliases=True)
        expressions = [selected[0] for selected in compiler.select]
        columns = [selected[2] for selected in compiler.select]
        converters = compiler.get_converters(expressions)
        for at, expression in enumerate(expressions):
            if _is_plain_json(expression):
                converters[at] = ([_read_json], expression)
        kinds = [KIND_OF_FIELD[each.output_field.get_internal_type()] for each in expressions]
        by_kind = sorted(range(len(columns)), key=kinds.__getitem__)
        return _Part(
            name=name,
            sql=sql,
            params=tuple(params),
            columns=tuple(columns[at] for at in by_kind),
            kinds=tuple(kinds[at] for at in by_kind),
            converters=tuple(
                (columns[at], convert, expression)
                for at, (converts, expression) in converters.items()
                for convert in converts
            ),
            order=tuple(map(str, queryset.query.order_by)),
        )

    def arrays(self, kinds: Iterable[str]) -> Iterable[str]:
        """Its columns for a union on PostgreSQL: an array for each kind, or NULL for none."""
        for kind in kinds:
            names = (
                column for column, own in zip(self.columns, self.kinds, strict=True) if own == kind
            )
            told = ", ".join(f"q.{connection.ops.quote_name(name)}" for name in names)
            yield f"ARRAY[{told}]::{KINDS[kind]}[]" if told else f"NULL::{KINDS[kind]}[]"

    def singly(self, width: int) -> Iterable[str]:
        """Its columns for a union on SQLite, where a column holds anything: filled up by NULL.

        The plus hides a declared type, by which the first part's would have all others converted.
        """
        yield from (f"+q.{connection.ops.quote_name(column)}" for column in self.columns)
        yield from ["NULL"] * (width - len(self.columns))

    def read(self, told: Iterable[Any]) -> Row:
        """A row of the union by column name, as the queryset itself would give it."""
        row = dict(zip(self.columns, told, strict=False))
        for column, convert, expression in self.converters:
            row[column] = convert(row[column], expression, connection)
        return row

    def in_order(self, rows: list[Row]) -> list[Row]:
        """Its rows as the queryset orders them."""
        if self.order and not any(key.startswith("-") for key in self.order):
            rows.sort(key=itemgetter(*self.order))
            return rows
        for key in reversed(self.order):
            rows.sort(key=itemgetter(key.lstrip("-")), reverse=key.startswith("-"))
        return rows


def _is_plain_json(expression: Any) -> bool:
    """Whether this is a whole JSON column read in the usual way."""
    field = expression.output_field
    return isinstance(expression, Col) and type(field) is JSONField and field.decoder is None


def _read_json(value: str | None, *_: Any) -> Any:
    """What Django's own converter does in the end, of a text that no blanks surround."""
    if value in EMPTY:
        return EMPTY[value]()
    return None if value is None else DECODER.raw_decode(value)[0]


@dataclass(frozen=True)
class _Laid:
    """All parts as one statement."""

    sql: str
    params: tuple[Any, ...]
    parts: tuple[_Part, ...]
    in_arrays: bool

    @staticmethod
    def of(querysets: dict[str, Values]) -> _Laid:
        parts = tuple(_Part.of(name, queryset) for name, queryset in querysets.items())
        params = tuple(param for part in parts for param in part.params)
        kinds = sorted({kind for part in parts for kind in part.kinds})
        width = max(len(part.columns) for part in parts)
        selects, in_arrays = [], connection.vendor == "postgresql"
        for number, part in enumerate(parts):
            cells = part.arrays(kinds) if in_arrays else part.singly(width)
            selects.append(f"SELECT {number}, {', '.join(cells)} FROM ({part.sql}) q")  # noqa: S608
        laid = _Laid(" UNION ALL ".join(selects), params, parts, in_arrays)
        return laid._sharing() if in_arrays else laid

    def _sharing(self) -> _Laid:
        """The same for PostgreSQL: what is given goes over once, however many parts ask for it."""
        shared: dict[Any, Any] = {}
        first, *texts = self.sql.replace("%%", "%").split("%s")
        told = [first]
        for at, (param, text) in enumerate(zip(self.params, texts, strict=True)):
            key = param if isinstance(param, Given) else at
            shared.setdefault(key, param)
            told.append(f"${list(shared).index(key) + 1}{text}")
        return replace(self, sql="".join(told), params=tuple(shared.values()))
