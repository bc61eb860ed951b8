"""Ask many querysets in one statement, compiled once and prepared by the database.

What a posted visit hangs on lies in a dozen tables.  A query each costs a round trip and, more than
that, the building of its SQL.  A ``Question`` builds the SQL of all its parts once and joins them
by UNION ALL.  On PostgreSQL, where the parts of a union must agree on types, each part gives an
array for each kind of its columns: with a column for every column of every part, filling in the
NULLs would cost more than finding the rows.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache, partial
from itertools import chain
from math import inf
from operator import attrgetter, itemgetter
from typing import Any, ClassVar
from uuid import UUID

from django.db import connection
from django.db.models import Field, ForeignKey, JSONField, Lookup, Model, QuerySet
from django.db.models.expressions import Col

from config.statements import Waiting, send

Row = dict[str, Any]
Values = QuerySet[Any, Any]
Part = Callable[[Mapping[str, Any]], Values]

FEW = 64
"""Values up to which the database does well with a plan that knows nothing of them."""

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
    """Many values as one: a statement with a place for each is parsed anew every time.

    For PostgreSQL they are written out: of a list psycopg works out anew what type it is of, and
    finds one for small numbers and another for large, each with a plan of its own.
    """
    if connection.vendor == "postgresql":
        return f"{{{','.join(map(_quoted, values))}}}"
    return json.dumps([_plain(each) for each in values])


def _quoted(value: Any) -> str:
    """A value within an array, as PostgreSQL reads it."""
    told = str(value).replace("\\", "\\\\").replace('"', '\\"')
    return f'"{told}"'


def _plain(value: Any) -> Any:
    """A value as SQLite keeps it."""
    if isinstance(value, UUID):
        return value.hex
    return value.isoformat() if isinstance(value, date) else value


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
        return self.send(**given)()

    def send(self, **given: Sequence[Any]) -> Callable[[], dict[str, list[Row]]]:
        """Ask; gives what waits for the rows, within ``config.committing.unawaited`` at least."""
        laid = self._laid.get(connection.vendor)
        if laid is None:
            querysets = {name: part(self._given) for name, part in self._parts.items()}
            laid = self._laid[connection.vendor] = _Laid.of(querysets)
        values = {name: listed(each) for name, each in given.items()}
        few = all(len(each) <= FEW for each in given.values())
        params = [values[p.name] if isinstance(p, Given) else p for p in laid.params]
        return partial(laid.read, send(laid.sql, params, prepare=few))

    def joined(self, name: str, rows: list[Row], unwritten: Iterable[Model]) -> list[Row]:
        """A part's rows and those of models about to be written, as they will be read."""
        part = next(part for part in self._laid[connection.vendor].parts if part.name == name)
        return part.in_order([*rows, *map(part.as_read, unwritten)])

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
    texts: tuple[str, ...]
    converters: tuple[tuple[str, Any, Any], ...]
    order: tuple[str, ...]

    @staticmethod
    def of(name: str, queryset: Values) -> _Part:
        compiler = queryset.order_by().query.get_compiler(connection=connection)
        sql, params = compiler.as_sql(with_col_aliases=True)
        expressions = [selected[0] for selected in compiler.select]
        columns = [selected[2] for selected in compiler.select]
        converters = compiler.get_converters(expressions)
        plain = [at for at, each in enumerate(expressions) if _is_plain_json(each)]
        for at in plain:
            converters.pop(at, None)
        kinds = [KIND_OF_FIELD[each.output_field.get_internal_type()] for each in expressions]
        by_kind = sorted(range(len(columns)), key=kinds.__getitem__)
        return _Part(
            name=name,
            sql=sql,
            params=tuple(params),
            columns=tuple(columns[at] for at in by_kind),
            kinds=tuple(kinds[at] for at in by_kind),
            texts=tuple(columns[at] for at in plain),
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

    def read(self, told: Iterable[Any], known: dict[str | None, Any]) -> Row:
        """A row of the union by column name, as the queryset itself would give it.

        Of JSON texts told again, as most verdicts of a fan are, rows share what was ``known``.
        """
        row = dict(zip(self.columns, told, strict=False))
        for column in self.texts:
            text = row[column]
            if text in EMPTY:
                row[column] = EMPTY[text]()
            else:
                row[column] = known[text] if text in known else _read_json(text, known)
        for column, convert, expression in self.converters:
            row[column] = convert(row[column], expression, connection)
        return row

    def as_read(self, model: Model) -> Row:
        """A row not yet written, as this part will read it; a key to come is larger than any."""
        row = {column: get(model) for column, get in _getters(self.columns)}
        return {**row, "id": inf} if row.get("id", 0) is None else row

    def in_order(self, rows: list[Row]) -> list[Row]:
        """Its rows as the queryset orders them."""
        if self.order and not any(key.startswith("-") for key in self.order):
            rows.sort(key=itemgetter(*self.order))
            return rows
        for key in reversed(self.order):
            rows.sort(key=itemgetter(key.lstrip("-")), reverse=key.startswith("-"))
        return rows


@lru_cache
def _getters(columns: tuple[str, ...]) -> list[tuple[str, Callable[[Model], Any]]]:
    """What takes each column from a model."""
    return [(column, attrgetter(column.replace("__", "."))) for column in columns]


def _is_plain_json(expression: Any) -> bool:
    """Whether this is a whole JSON column read in the usual way."""
    field = expression.output_field
    return isinstance(expression, Col) and type(field) is JSONField and field.decoder is None


def _read_json(text: str, known: dict[str | None, Any]) -> Any:
    """What Django's own converter does in the end, of a text that no blanks surround."""
    known[text], _ = DECODER.raw_decode(text)
    return known[text]


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

    def read(self, rows: Waiting) -> dict[str, list[Row]]:
        """The rows of each part by its name."""
        found: list[list[Row]] = [[] for _ in self.parts]
        known: dict[str | None, Any] = {None: None}
        for number, *cells in rows():
            values = chain.from_iterable(filter(None, cells)) if self.in_arrays else cells
            found[number].append(self.parts[number].read(values, known))
        told = zip(self.parts, found, strict=True)
        return {part.name: part.in_order(each) for part, each in told}

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
