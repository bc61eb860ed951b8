"""The packed histories of a block of fans: those that hold as they are, the others built anew."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from schedules.due.calendars import CalendarBook
from schedules.due.reading import Stored
from schedules.due.records import records_in
from schedules.due.truth import Truth, read_truth
from schedules.engine.due import needs_calendar
from schedules.engine.history import fold_record, history_dtype, room_of
from schedules.engine.parameters import DueParams
from schedules.engine.record import Calendar
from schedules.engine.rule import Columns

log = logging.getLogger(__name__)

History = tuple[int, int, int, bytes]
"""Fan id, layout, the revision it was read at, and the packed row."""


@dataclass
class Rebuilt:
    """Histories built for a block, and the fans that could not be read, with the revision."""

    histories: list[History] = field(default_factory=list)
    faults: dict[int, tuple[int, str]] = field(default_factory=dict)

    def __iadd__(self, later: Rebuilt) -> Rebuilt:
        self.histories += later.histories
        self.faults |= later.faults
        return self


def rebuild_missing(stored: Stored, params: DueParams, book: CalendarBook) -> Rebuilt:
    """Fold the records of fans without a history, whose calendars go into the ``book``."""
    missing = [fan for fan, row in zip(stored.fan_ids, stored.rows, strict=True) if row is None]
    return rebuild(stored, read_truth(missing), params, book) if missing else Rebuilt()


def rebuild(stored: Stored, truth: Truth, params: DueParams, book: CalendarBook) -> Rebuilt:
    """Fold the records read; a fold that fails is that fan's fault alone."""
    rebuilt = Rebuilt()
    book.add(truth.calendars.values())
    places = {fan: at for at, fan in enumerate(stored.fan_ids)}
    for fan, build in records_in(truth):
        fan_id, at = fan["id"], places[fan["id"]]
        revision = int(stored.revision[at])
        try:
            row = fold_record(build(), params)
        except (ValueError, TypeError, AttributeError, ArithmeticError, LookupError) as error:
            log.exception("fan %s cannot be reckoned", fan_id)
            rebuilt.faults[fan_id] = (revision, f"{type(error).__name__}: {error}"[:250])
            continue
        packed = row.tobytes()
        stored.rows[at] = packed
        version = int(row["version"][0])
        rebuilt.histories.append((fan_id, version, revision, packed))
    return rebuilt


@dataclass(frozen=True)
class Packed:
    """Histories by width, with the calendars they go by and, per fan, which (-1 for none).

    ``astray`` are the fans whose history names hours that nobody has any more.
    """

    by_width: list[tuple[NDArray[np.intp], Columns]]
    calendars: list[Calendar]
    index: NDArray[np.int32]
    astray: NDArray[np.intp]

    @staticmethod
    def of(stored: Stored, book: CalendarBook) -> Packed:
        by_width = list(parts(stored))
        keys = np.zeros(len(stored.fan_ids), np.int64)
        for places, columns in by_width:
            keys[places] = np.where(needs_calendar(columns), columns["calendar_key"], 0)
        calendars, index = book.find(stored.fan_ids, keys)
        return Packed(by_width, calendars, index, np.flatnonzero((keys != 0) & (index < 0)))


def pack(stored: Stored, rebuilt: Rebuilt, params: DueParams, book: CalendarBook) -> Packed:
    """The histories ready to be reckoned; those gone astray are ``rebuilt`` as well."""
    packed = Packed.of(stored, book)
    if packed.astray.size:
        for at in packed.astray.tolist():
            stored.rows[at] = None
        rebuilt += rebuild_missing(stored, params, book)
        packed = Packed.of(stored, book)
    return packed


def parts(stored: Stored) -> Iterator[tuple[NDArray[np.intp], Columns]]:
    """Fans whose histories have the same width: their places in the block, and the histories."""
    for width in sorted({len(row) for row in stored.rows if row}):
        places = [at for at, row in enumerate(stored.rows) if row and len(row) == width]
        packed = b"".join(stored.rows[at] for at in places)  # type: ignore[misc]
        yield np.array(places, np.intp), np.frombuffer(packed, history_dtype(room_of(width)))
