"""Read what is stored of a block of fans in one question: due rows, packed histories that hold."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
import psycopg
from django.db import connection
from numpy.typing import NDArray

from config.questions import Row
from config.statements import fetch, stream_raw
from schedules.engine.history import ROOMS, history_version
from schedules.engine.parameters import DueParams
from schedules.models import DueState

BLOCK = 3_072
"""Of what is read, reckoned and written at a time; twice as many hold twice the memory, half as
many take a quarter longer."""

STORED = """
    SELECT d.fan_id, d.revision, d.reckoned_revision, d.due_on, d.due_rule, d.dates, h.row
    FROM schedules_duestate d
    LEFT JOIN schedules_fanhistory h
        ON h.fan_id = d.fan_id AND h.revision = d.revision AND h.version IN ({versions})
        AND {near}
    WHERE {which}
    ORDER BY d.fan_id
"""
DUE_NAMES = ("fan_id", "revision", "reckoned_revision", "due_on", "due_rule", "dates")
Rows = list[tuple[Any, ...]]

AFTER, STALE = "d.fan_id > %s", "d.reckoned_revision <> d.revision"
NEAR = "h.fan_id > %s"
"""Says again of histories what holds of due rows: else a block is found by walking to it."""


def fan_blocks() -> Iterator[list[int]]:
    """Ids of all fans with a due row, in order, a block at a time."""
    last = 0
    rows = DueState.objects.order_by("fan_id").values_list("fan_id", flat=True)
    while ids := list(rows.filter(fan_id__gt=last)[:BLOCK]):
        yield ids
        last = ids[-1]


@dataclass(frozen=True)
class Stored:
    """What is stored of N fans, in order of their ids; ``rows`` None where no history holds."""

    fan_ids: tuple[int, ...]
    revision: NDArray[np.int64]
    reckoned_revision: NDArray[np.int64]
    due_on: tuple[date | None, ...]
    due_rule: tuple[int | None, ...]
    dates: tuple[bytes | None, ...]
    rows: list[bytes | None]

    @staticmethod
    def of(rows: Sequence[tuple[Any, ...]]) -> Stored:
        fan_ids, revision, reckoned, due_on, due_rule, dates, packed = zip(*rows, strict=True)
        return Stored(
            fan_ids,
            np.array(revision, np.int64),
            np.array(reckoned, np.int64),
            due_on,
            due_rule,
            dates,
            list(packed),
        )

    @staticmethod
    def of_due(rows: Sequence[Row]) -> Stored:
        """Of due rows alone: their histories are still to be built."""
        return Stored.of([(*(row[name] for name in DUE_NAMES), None) for row in rows])


def stored_of(fan_ids: Sequence[int], params: DueParams) -> Stored | None:
    """What is stored of these fans; None where nothing is."""
    named = ", ".join(map(str, map(int, fan_ids)))
    rows = fetch(stored_columns(params, which=f"d.fan_id IN ({named})"), []) if named else []
    return Stored.of(rows) if rows else None


class Blocks:
    """The fleet in blocks, in order of fan ids; PostgreSQL sends the next while one is worked on.

    Reading early takes nothing from safety: what is written names the revision it was read at.
    Call ``read_on`` once nothing more is asked before the work: a connection answers in turn.
    """

    def __init__(self, params: DueParams, *, only_stale: bool, last_fan: int | None = None) -> None:
        which = f"{AFTER} AND {STALE}" if only_stale else AFTER
        if last_fan is not None:
            # in the statement: planned for any fan, the database would take it for few rows
            which += f" AND d.fan_id <= {int(last_fan)}"
        self._statement = f"{stored_columns(params, NEAR, which)} LIMIT {BLOCK}"
        self._reader = ThreadPoolExecutor(1)
        self._ahead: tuple[int, Future[Rows]] | None = None

    def __enter__(self) -> Blocks:
        return self

    def __exit__(self, *_: object) -> None:
        self._reader.shutdown()

    def after(self, fan_id: int) -> Stored | None:
        """The next block after that fan; None when there are no more."""
        rows = self._sent(fan_id)
        if rows is None:
            rows = fetch(self._statement, [fan_id, fan_id])
        return Stored.of(rows) if rows else None

    def read_on(self, last: int) -> None:
        """Have the block after that fan sent meanwhile."""
        if connection.vendor == "postgresql":
            raw = connection.connection
            read = self._reader.submit(stream_raw, raw, self._statement, [last, last])
            self._ahead = last, read

    def _sent(self, fan_id: int) -> Rows | None:
        """What was read ahead for this fan; a reading that failed or was for another is none."""
        ahead, self._ahead = self._ahead, None
        if ahead is None or ahead[0] != fan_id:
            return None
        try:
            return ahead[1].result()
        except psycopg.Error:
            return None


def stored_columns(params: DueParams, near: str = "true", which: str = "true") -> str:
    """The question for fans ``which``; histories of other settings or layouts do not hold."""
    versions = ", ".join(str(history_version(params, room)) for room in ROOMS)
    return STORED.format(versions=versions, near=near, which=which)
