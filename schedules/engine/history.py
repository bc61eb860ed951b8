"""The packed history of a fan: all that the rules still need, in one row of fixed width.

It is a cache, rebuildable from the record; ``version`` says by which code, registry and settings it
was folded.  A fan with more live facts than a row has room for raises HistoryOverflowError: fold it
again with a larger ``room`` and reckon it in a block of its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from itertools import chain
from typing import Any
from zlib import crc32

import numpy as np

from schedules.engine import codes, onboarding
from schedules.engine.parameters import DueParams
from schedules.engine.record import FanRecord
from schedules.engine.rule import Columns, Fields, HistoryOverflowError
from schedules.engine.rules import RULE_MODULES

ROOMS = (1, 4, 16, 64, 256)
"""Widths a history comes in; nearly every fan fits the first, one read daily for years the last."""

REVISION = 7
"""Raise it when a fold, or what a rule answers, changes its meaning without changing a field: what
was answered by histories of another version is not kept."""


@lru_cache(maxsize=len(ROOMS))
def history_dtype(room: int = 1) -> np.dtype[np.void]:
    """Return the row's layout: the version, then every rule's fields."""
    return np.dtype([("version", "u4"), *_fields(room)])


def _fields(room: int) -> Fields:
    fields = [onboarding.fields(room), *(rule.fields(room) for rule in RULE_MODULES)]
    return tuple(chain.from_iterable(fields))


@lru_cache(maxsize=64)
def history_version(params: DueParams, room: int = 1) -> int:
    """Return the number that a row folded by this code with these settings carries."""
    told = (REVISION, history_dtype(room).descr, codes.SUBJECTS, params)
    return crc32(repr(told).encode())


def fold(record: FanRecord, params: DueParams, room: int = 1) -> Columns:
    """Fold one fan's record into a row with this much room; structured array, shape (1,).

    Raises HistoryOverflowError if it is too little for the record.
    """
    return _row(_facts(record, params), params, room)


def fold_record(record: FanRecord, params: DueParams) -> Columns:
    """Fold a record into the narrowest row that holds it; structured array, shape (1,).

    Raises HistoryOverflowError if not even the widest does.
    """
    facts = _facts(record, params)
    for room in ROOMS[:-1]:
        try:
            return _row(facts, params, room)
        except HistoryOverflowError:
            continue
    return _row(facts, params, ROOMS[-1])


def _facts(record: FanRecord, params: DueParams) -> dict[str, Any]:
    facts = dict(onboarding.fold(record, params))
    for rule in RULE_MODULES:
        facts.update(rule.fold(record, params))
    return facts


def _row(facts: Mapping[str, Any], params: DueParams, room: int) -> Columns:
    row = np.zeros(1, history_dtype(room))
    row["version"] = history_version(params, room)
    for name, width in _places(room):
        fact = facts[name]
        if not width:
            row[name] = fact
        elif len(fact) > width:
            raise HistoryOverflowError(f"{name} holds {len(fact)}, a row has room for {width}")
        else:
            row[name][0, : len(fact)] = fact
    return row


@lru_cache(maxsize=len(ROOMS))
def _places(room: int) -> tuple[tuple[str, int], ...]:
    """Each field's name and how many places it has; 0 for a plain number."""
    return tuple((field[0], field[2][0] if len(field) > 2 else 0) for field in _fields(room))


def room_of(width: int) -> int:
    """Return the room of a row of ``width`` bytes; ValueError if no row is that wide."""
    for room in ROOMS:
        if history_dtype(room).itemsize == width:
            return room
    known = ", ".join(str(history_dtype(room).itemsize) for room in ROOMS)
    raise ValueError(f"a history of {width} bytes is none of ours ({known}); fold the record anew")


VERSION = history_version(DueParams())
"""What a row folded with the default settings carries."""
