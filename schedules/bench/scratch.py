"""A database of the bench's own beside the configured one, gone when the bench is done."""

from __future__ import annotations

import secrets
import signal
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

from django.core.management import call_command
from django.db import connection


@contextmanager
def scratch_database() -> Iterator[str]:
    """Point Django at a fresh, migrated database; gives the address other processes find it by."""
    # Told to stop, leave in order: the scratch database goes with us.
    signal.signal(signal.SIGTERM, _leave)
    own = connection.settings_dict["NAME"]
    with _fresh_name() as name:
        _switch_to(name)
        try:
            call_command("migrate", verbosity=0)
            yield _address()
        finally:
            _switch_to(own)


def tidy() -> None:
    """What a PostgreSQL server does by itself in quiet hours.

    Nobody analyzes an SQLite file, and statistics only mislead it: a column of few corrections then
    looks like one of few distinct values, and every "not superseded" walks the whole table.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("VACUUM ANALYZE")


def _leave(*_: object) -> None:
    raise SystemExit("told to stop before the bench was done")


def _switch_to(name: object) -> None:
    connection.close()
    connection.settings_dict["NAME"] = name


@contextmanager
def _fresh_name() -> Iterator[str]:
    if connection.vendor == "sqlite":
        with tempfile.TemporaryDirectory(prefix="bench-") as folder:
            yield str(Path(folder) / "bench.sqlite3")
        return
    name = f"bench_{secrets.token_hex(6)}"
    _on_server("CREATE DATABASE", name)
    try:
        yield name
    finally:
        _on_server("DROP DATABASE", name)


def _on_server(what: str, name: str) -> None:
    with connection._nodb_cursor() as cursor:
        cursor.execute(f"{what} {connection.ops.quote_name(name)}")


def _address() -> str:
    about = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{about['NAME']}"
    person, secret = (quote(str(about[key]), safe="") for key in ("USER", "PASSWORD"))
    who = f"{person}:{secret}" if secret else person
    port = f":{about['PORT']}" if about["PORT"] else ""
    return f"postgres://{who}@{about['HOST']}{port}/{about['NAME']}"
