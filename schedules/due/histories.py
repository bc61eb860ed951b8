"""The packed histories of a block of fans: taken from the cache where fresh, else built anew."""

from __future__ import annotations

import logging
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from schedules.due.calendars import calendars_of
from schedules.due.records import fan_records
from schedules.engine.history import ROOMS, fold_record, history_dtype, history_version, room_of
from schedules.engine.parameters import DueParams
from schedules.engine.record import Calendar
from schedules.models import DueState, FanHistory

log = logging.getLogger(__name__)
STATE_COLUMNS = (
    "fan_id",
    "revision",
    "reckoned_revision",
    "due_on",
    "due_rule",
    "dates",
    "fan__system_id",
)


@dataclass
class Stored:
    """What a due row says now."""

    fan_id: int
    revision: int
    reckoned_revision: int
    due_on: Any
    due_rule: int | None
    dates: bytes | None
    system_id: int


@dataclass
class Part:
    """Fans whose histories have the same width, ready for the engine."""

    stored: list[Stored]
    columns: NDArray[np.void]
    calendars: Sequence[Calendar]
    calendar_index: NDArray[np.int32]


@dataclass
class Loaded:
    """A block by width, the histories built for it, and the fans that could not be read."""

    parts: list[Part]
    rebuilt: list[FanHistory]
    faults: dict[int, tuple[int, str]]


def load_block(fan_ids: Sequence[int], params: DueParams, *, rebuild: bool = False) -> Loaded:
    """Histories of these fans; only those that a change has outdated are read from the record."""
    states = DueState.objects.filter(fan__in=fan_ids).order_by("fan_id").values_list(*STATE_COLUMNS)
    stored = {row[0]: Stored(*row) for row in states}
    rows = {} if rebuild else _cached(stored, params)
    missing = [fan_id for fan_id in stored if fan_id not in rows]
    rebuilt, faults = _build(missing, stored, params)
    rows.update({history.fan_id: bytes(history.row) for history in rebuilt})
    return Loaded(_parts(stored, rows), rebuilt, faults)


def _cached(stored: dict[int, Stored], params: DueParams) -> dict[int, bytes]:
    versions = [history_version(params, room) for room in ROOMS]
    histories = FanHistory.objects.filter(fan__in=list(stored), version__in=versions)
    return {
        fan_id: bytes(row)
        for fan_id, revision, row in histories.values_list("fan_id", "revision", "row")
        if revision == stored[fan_id].revision
    }


def _build(
    fan_ids: list[int], stored: dict[int, Stored], params: DueParams
) -> tuple[list[FanHistory], dict[int, tuple[int, str]]]:
    """Fold the records of these fans; what cannot be folded is a fault of that fan alone."""
    rebuilt: list[FanHistory] = []
    faults: dict[int, tuple[int, str]] = {}
    if not fan_ids:
        return rebuilt, faults
    for fan, build in fan_records(fan_ids):
        fan_id, revision = fan["id"], stored[fan["id"]].revision
        try:
            row = fold_record(build(), params)
        except (ValueError, TypeError, ArithmeticError, LookupError) as error:
            log.exception("fan %s cannot be reckoned", fan_id)
            faults[fan_id] = (revision, f"{type(error).__name__}: {error}"[:250])
        else:
            rebuilt.append(
                FanHistory(
                    fan_id=fan_id,
                    version=int(row["version"][0]),
                    revision=revision,
                    row=row.tobytes(),
                )
            )
    return rebuilt, faults


def _parts(stored: dict[int, Stored], rows: dict[int, bytes]) -> list[Part]:
    by_width: dict[int, list[int]] = defaultdict(list)
    for fan_id in stored:
        if fan_id in rows:
            by_width[len(rows[fan_id])].append(fan_id)
    return [_part([stored[i] for i in ids], b"".join(rows[i] for i in ids), width)
            for width, ids in by_width.items()]  # fmt: skip


def _part(stored: list[Stored], packed: bytes, width: int) -> Part:
    columns = np.frombuffer(packed, history_dtype(room_of(width)))
    calendars, index = calendars_of([state.system_id for state in stored])
    return Part(stored, columns, calendars, index)
