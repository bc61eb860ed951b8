"""Work done by another connection while the next is made ready."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from typing import TypeVar

from django.db import connection, connections

T = TypeVar("T")
R = TypeVar("R")


def behind(work: Callable[[T], R], items: Iterable[T]) -> Iterator[R]:
    """Do ``work`` on each item while the next one is made; its results, in order.

    PostgreSQL does it on a connection of its own, one item behind.  SQLite has one writer's place
    and no server that would work meanwhile, and what belongs to a transaction must stay in it:
    there each item is worked on before the next is made.
    """
    if connection.vendor != "postgresql" or connection.in_atomic_block:
        yield from map(work, items)
        return
    with ThreadPoolExecutor(1) as aside:
        try:
            before: Future[R] | None = None
            for item in items:
                if before is not None:
                    yield before.result()
                before = aside.submit(work, item)
            if before is not None:
                yield before.result()
        finally:
            aside.submit(connections.close_all)
