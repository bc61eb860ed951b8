"""Work done while PostgreSQL commits: whoever has something to do waits for no disk."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import psycopg
from django.db import DEFAULT_DB_ALIAS, connections


@contextmanager
def committing() -> Iterator[None]:
    """Have the transaction under way committed; on leaving it is, or DatabaseError says why not.

    Enter it as the last thing in an ``atomic``, and ask nothing of the database inside.  SQLite,
    and a transaction within another, commit where they end: then the work is done before.
    """
    here = connections[DEFAULT_DB_ALIAS]
    if here.vendor != "postgresql" or len(here.atomic_blocks) != 1 or here.needs_rollback:
        yield
        return
    link = here.connection
    with here.wrap_database_errors, link.pipeline(), psycopg.RawCursor(link) as cursor:
        # sent at once; a pipeline waits for what comes of it only at its end
        cursor.execute("COMMIT")
        yield
