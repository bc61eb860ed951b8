"""Work done while PostgreSQL writes and commits: whoever has something to do waits for no disk."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

import psycopg
from django.db import DEFAULT_DB_ALIAS, connections

Commit = Callable[[], object]


@contextmanager
def unawaited(*, few: bool = True) -> Iterator[Commit]:
    """Have what is written inside sent without waiting for it; what is asked is waited for.

    Gives what sends the commit of the transaction under way; after it, ask nothing of the database.
    On leaving all is done, or DatabaseError says what was not.  To be entered where no savepoint
    holds, and left with the outermost ``atomic``.  SQLite and a transaction within another know
    nothing of this, nor does what is not ``few`` and may be copied in: all is waited for, and
    committed where the ``atomic`` ends.
    """
    here = connections[DEFAULT_DB_ALIAS]
    if not few or here.vendor != "postgresql" or any(here.savepoint_ids):
        yield lambda: None
        return
    link = here.connection
    with here.wrap_database_errors, link.pipeline(), psycopg.RawCursor(link) as cursor:

        def commit() -> None:
            with here.wrap_database_errors:  # what was sent before may be refused only now
                cursor.execute("COMMIT")

        yield commit
