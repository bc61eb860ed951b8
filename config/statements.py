"""One statement carried out by the database's own driver, which PostgreSQL prepares."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import lru_cache, partial
from typing import Any

import psycopg
from django.db import DEFAULT_DB_ALIAS, connection, connections

Waiting = Callable[[], list[tuple[Any, ...]]]
Cursor = psycopg.RawCursor[Any]

AT_ONCE = 256
"""Rows taken over together where there are many."""

MOST_IDLE = 64
"""Cursors a connection keeps: more than there are statements that are asked again and again."""


def fetch(statement: str, values: Sequence[Any], *, prepare: bool = False) -> list[tuple[Any, ...]]:
    """All rows of one statement, as the database's own driver gives them.

    ``prepare`` has PostgreSQL keep the plan of what this connection asks again.
    """
    return send(statement, values, prepare=prepare)()


def send(statement: str, values: Sequence[Any], *, prepare: bool = False) -> Waiting:
    """Ask as ``fetch`` does; gives what waits for the rows, where nothing else has waited yet."""
    if connection.vendor != "postgresql":
        with connection.cursor() as cursor:
            return list(cursor.execute(statement, values).fetchall()).copy
    with _driver(statement) as raw:
        idle = _idle(raw) if prepare else {}
        # Django's own cursors write values into the statement, which is then another every time.
        asked = idle.pop(statement, None) or psycopg.RawCursor(raw)
        kept = None if prepare else False  # as often asked as the connection wants it to be
        asked.execute(_numbered(statement), values, binary=True, prepare=kept)
    return partial(_waited, asked, statement, idle)


def _waited(asked: Cursor, statement: str, idle: dict[str, Cursor]) -> list[tuple[Any, ...]]:
    with connections[DEFAULT_DB_ALIAS].wrap_database_errors:
        rows = asked.fetchall()
    if len(rows) <= AT_ONCE:  # a cursor holds what it found until it is asked anew
        idle[statement] = asked
    return rows


def _idle(raw: psycopg.Connection[Any]) -> dict[str, Cursor]:
    """A connection's cursors by what they asked and may be asked again.

    How its columns are read each knows by then, which takes longer to find out than to read them.
    """
    idle: dict[str, Cursor] = vars(raw).setdefault("idle_cursors", {})
    if len(idle) > MOST_IDLE:
        idle.clear()
    return idle


def stream_raw(
    raw: psycopg.Connection[Any], statement: str, values: Sequence[Any]
) -> list[tuple[Any, ...]]:
    """Many rows, taken over a few at a time: they lie in memory once, and near the processor."""
    with psycopg.Cursor(raw) as cursor:
        return list(cursor.stream(statement, values, binary=True, size=AT_ONCE))


def run(statement: str, values: Sequence[Any]) -> int:
    """Carry out a statement, which PostgreSQL prepares; the number of rows it touched."""
    if connection.vendor == "postgresql":
        with _driver(statement) as raw:
            idle = _idle(raw)
            told = idle.get(statement) or idle.setdefault(statement, psycopg.RawCursor(raw))
            return told.execute(_numbered(statement), values).rowcount
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
def _numbered(statement: str) -> bytes:
    """The statement with its places numbered, as PostgreSQL wants them.

    Else psycopg looks for them anew every time in whatever is longer than a page or two, and of
    text it makes bytes, by whose hash it knows what is prepared: these keep theirs.
    """
    first, *others = statement.split("%s")
    told = first + "".join(f"${number}{text}" for number, text in enumerate(others, 1))
    return told.encode()
