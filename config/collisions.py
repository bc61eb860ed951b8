"""Work done in one transaction, and again where another transaction got in its way."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

from django.db import DatabaseError, IntegrityError, transaction

P = ParamSpec("P")
T = TypeVar("T")
TRIES = 4
GIVEN_UP = ("40001", "40P01")
"""What PostgreSQL says of a transaction it ended for another's sake: serialization, deadlock."""


def in_one_transaction(work: Callable[P, T]) -> Callable[P, T]:
    """Do the work in one transaction, anew where it collided with another.

    The later of two senders of one id meets the earlier's row in the table's key, and of two that
    wait for each other the database ends one; trying again, it finds the other's work done.
    """

    @wraps(work)
    def done(*args: P.args, **kwargs: P.kwargs) -> T:
        for _ in range(TRIES - 1):
            try:
                with transaction.atomic():
                    return work(*args, **kwargs)
            except DatabaseError as error:
                if not collided(error):
                    raise
        with transaction.atomic():
            return work(*args, **kwargs)

    return done


def collided(error: DatabaseError) -> bool:
    """Whether trying again may go well."""
    return isinstance(error, IntegrityError) or _state(error) in GIVEN_UP


def _state(error: DatabaseError) -> str:
    return getattr(error.__cause__, "sqlstate", None) or ""
