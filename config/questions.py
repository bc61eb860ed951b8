"""Ask many querysets in one statement, compiled once and prepared by the database.

What a posted visit hangs on lies in a dozen tables.  A query each costs a round trip and, more than
that, the building of its SQL.  A ``Question`` builds the SQL of all its parts once: the columns of
each part are laid into slots of their type, and the parts joined by UNION ALL.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from operator import itemgetter
from typing import Any, ClassVar
from uuid import UUID

import psycopg
from django.db import connection
from django.db.models import Field, ForeignKey, JSONField, Lookup, QuerySet
from django.db.models.expressions import Col

Row = dict[str, Any]
Values = QuerySet[Any, Any]
Part = Callable[[Mapping[str, Any]], Values]
Slot = tuple[str, int]

FEW = 64
"""Values up to which the database does well with a plan that knows nothing of them."""

AT_ONCE = 256
"""Rows taken over together where there are many."""

SLOT_TYPES = {
    "integer": "bigint", "float": "double precision", "text": "text", "date": "date",
    "instant": "timestamptz", "uuid": "uuid", "boolean": "boolean", "json": "jsonb",
    "number": "numeric", "bytes": "bytea",
}  # fmt: skip
"""Kinds of slot with their type on PostgreSQL, where the parts of a union must agree on types."""

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


def fetch(
    statement: str, values: Sequence[Any], *, binary: bool = True, prepare: bool = False
) -> list[tuple[Any, ...]]:
    """All rows of one statement, as the database's own driver gives them.

    ``binary`` is how PostgreSQL sends them: the shorter for bytes, while Django's converters of
    JSON await text.  ``prepare`` has it keep the plan of what this connection asks again.
    """
    if connection.vendor == "postgresql":
        connection.ensure_connection()
        if connection.queries_logged:
            connection.queries_log.append({"sql": statement, "time": ""})
        with connection.wrap_database_errors:
            raw = connection.connection
            return fetch_raw(raw, statement, values, binary=binary, prepare=prepare)
    with connection.cursor() as cursor:
        return list(cursor.execute(statement, values).fetchall())


def fetch_raw(
    raw: psycopg.Connection[Any],
    statement: str,
    values: Sequence[Any],
    *,
    binary: bool = True,
    prepare: bool = False,
) -> list[tuple[Any, ...]]:
    """The same on a connection of PostgreSQL's driver."""
    # Django's own cursors write values into the statement, which is then another every time.
    with psycopg.Cursor(raw) as cursor:
        kept = None if prepare else False  # as often asked as the connection wants it to be
        return cursor.execute(statement, values, binary=binary, prepare=kept).fetchall()


def stream_raw(
    raw: psycopg.Connection[Any], statement: str, values: Sequence[Any]
) -> list[tuple[Any, ...]]:
    """Many rows, taken over a few at a time: they lie in memory once, and near the processor."""
    with psycopg.Cursor(raw) as cursor:
        return list(cursor.stream(statement, values, binary=True, size=AT_ONCE))


def run(statement: str, values: Sequence[Any]) -> None:
    """Carry out a statement by PostgreSQL's own driver, its plan kept as ``fetch`` keeps it."""
    connection.ensure_connection()
    if connection.queries_logged:
        connection.queries_log.append({"sql": statement, "time": ""})
    with connection.wrap_database_errors, psycopg.Cursor(connection.connection) as cursor:
        cursor.execute(statement, values)


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
        found: list[list[tuple[Any, ...]]] = [[] for _ in laid.parts]
        for row in fetch(laid.sql, params, binary=False, prepare=few):
            found[row[0]].append(row)
        return {
            part.name: part.read(each, laid.places)
            for part, each in zip(laid.parts, found, strict=True)
        }

    def ask_one_by_one(self, **given: Sequence[Any]) -> dict[str, list[Row]]:
        """The same rows, each part by a query of its own, as any page of Django would."""
        return {name: list(part(given)) for name, part in self._parts.items()}


@dataclass(frozen=True)
class _Part:
    """One queryset compiled: what it selects, where that lies, how it is read back."""

    name: str
    sql: str
    params: tuple[Any, ...]
    columns: tuple[str, ...]
    slots: tuple[Slot, ...]
    converters: tuple[tuple[int, Any, Any], ...]
    order: tuple[str, ...]

    @staticmethod
    def of(name: str, queryset: Values) -> _Part:
        compiler = queryset.order_by().query.get_compiler(connection=connection)
        sql, params = compiler.as_sql(with_col_aliases=True)
        expressions = [selected[0] for selected in compiler.select]
        converters = compiler.get_converters(expressions)
        for at, expression in enumerate(expressions):
            if _is_plain_json(expression):
                converters[at] = ([_read_json], expression)
        return _Part(
            name=name,
            sql=sql,
            params=tuple(params),
            columns=tuple(selected[2] for selected in compiler.select),
            slots=tuple(_slots(expressions)),
            converters=tuple(
                (at, convert, expression)
                for at, (converts, expression) in converters.items()
                for convert in converts
            ),
            order=tuple(map(str, queryset.query.order_by)),
        )

    def select(self, number: int, slots: Iterable[Slot]) -> str:
        """This part's place in the union; slots it does not use are NULL."""
        quote, postgresql = connection.ops.quote_name, connection.vendor == "postgresql"
        taken = dict(zip(self.slots, self.columns, strict=True))
        cells = [
            f"q.{quote(taken[slot])}"
            if slot in taken
            else f"NULL::{SLOT_TYPES[slot[0]]}"
            if postgresql
            else "NULL"
            for slot in slots
        ]
        return f"SELECT {number}, {', '.join(cells)} FROM ({self.sql}) q"  # noqa: S608  # compiled

    def read(self, rows: Iterable[tuple[Any, ...]], place: dict[Slot, int]) -> list[Row]:
        """Rows of the union by column name, as the queryset itself would give them."""
        places = [place[slot] for slot in self.slots]
        found = []
        for row in rows:
            values = [row[place] for place in places]
            for at, convert, expression in self.converters:
                values[at] = convert(values[at], expression, connection)
            found.append(dict(zip(self.columns, values, strict=True)))
        for key in reversed(self.order):
            found.sort(key=itemgetter(key.lstrip("-")), reverse=key.startswith("-"))
        return found


def _is_plain_json(expression: Any) -> bool:
    """Whether this is a whole JSON column read in the usual way."""
    field = expression.output_field
    return isinstance(expression, Col) and type(field) is JSONField and field.decoder is None


def _read_json(value: str | None, *_: Any) -> Any:
    """What Django's own converter does in the end."""
    return None if value is None else json.loads(value)


def _slots(expressions: Iterable[Any]) -> Iterable[Slot]:
    """A slot of its kind for each column, counted within the kind."""
    seen: Counter[str] = Counter()
    for expression in expressions:
        kind = KIND_OF_FIELD[expression.output_field.get_internal_type()]
        yield kind, seen[kind]
        seen[kind] += 1


@dataclass(frozen=True)
class _Laid:
    """All parts as one statement."""

    sql: str
    params: tuple[Any, ...]
    parts: tuple[_Part, ...]
    places: dict[Slot, int]

    @staticmethod
    def of(querysets: dict[str, Values]) -> _Laid:
        parts = tuple(_Part.of(name, queryset) for name, queryset in querysets.items())
        slots = sorted({slot for part in parts for slot in part.slots})
        places = {slot: place for place, slot in enumerate(slots, 1)}
        selects = [part.select(number, slots) for number, part in enumerate(parts)]
        params = tuple(param for part in parts for param in part.params)
        return _Laid(" UNION ALL ".join(selects), params, parts, places)
