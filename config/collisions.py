"""Transactions among others: done again where one got in the way, or reading without any lock."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import wraps
from time import monotonic
from typing import Any, ParamSpec, TypeVar

from django.db import DatabaseError, IntegrityError, OperationalError, connection, transaction

P = ParamSpec("P")
T = TypeVar("T")
TRIES = 4
PATIENCE_S = 10
"""No new try after so long: SQLite has then waited for another writer as long as it may."""
GIVEN_UP = ("40001", "40P01")
"""What PostgreSQL says of a transaction it ended for another's sake: serialization, deadlock."""


def in_one_transaction(work: Callable[P, T]) -> Callable[P, T]:
    """Do the work in one transaction, anew where it collided with another.

    The later of two senders of one id meets the earlier's row in the table's key, and of two that
    wait for each other the database ends one; trying again, it finds the other's work done.
    """

    @wraps(work)
    def done(*args: P.args, **kwargs: P.kwargs) -> T:
        since = monotonic()
        for _ in range(TRIES - 1):
            try:
                with transaction.atomic():
                    return work(*args, **kwargs)
            except DatabaseError as error:
                if not collided(error) or monotonic() - since > PATIENCE_S:
                    raise
        with transaction.atomic():
            return work(*args, **kwargs)

    return done


def collided(error: DatabaseError) -> bool:
    """Whether trying again may go well."""
    return isinstance(error, IntegrityError) or _state(error) in GIVEN_UP or is_locked(error)


def is_key_taken(error: IntegrityError) -> bool:
    """Whether a row's key is that of another row, and no other rule of a table was broken."""
    cause: Any = error.__cause__
    told = getattr(cause, "sqlite_errorname", None) or getattr(cause.diag, "constraint_name", "")
    return told == "SQLITE_CONSTRAINT_PRIMARYKEY" or str(told).endswith("_pkey")


def is_locked(error: BaseException | None) -> bool:
    """Whether another writer kept SQLite from beginning; nothing is wrong but the moment."""
    return isinstance(error, OperationalError) and "database is locked" in str(error)


@contextmanager
def one_snapshot() -> Iterator[None]:
    """Read what follows as it stood at one moment; no writer waits for that.

    Inside a transaction it is the transaction that decides.
    """
    if connection.in_atomic_block:
        yield
        return
    connection.ensure_connection()
    link: Any = connection  # only SQLite's has a mode
    mode = getattr(link, "transaction_mode", None)
    link.transaction_mode = "DEFERRED"
    try:
        with transaction.atomic():
            if connection.vendor == "postgresql":
                with connection.cursor() as cursor:
                    cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            yield
    finally:
        link.transaction_mode = mode


def _state(error: DatabaseError) -> str:
    return getattr(error.__cause__, "sqlstate", None) or ""
