"""Answers that have to be written: as rows of values, or as the bytes that PostgreSQL copies in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from typing import Any

import numpy as np
from django.db import connection
from numpy.typing import NDArray

from schedules.due.answers import ANSWER, pack_answers
from schedules.due.reading import Stored
from schedules.engine import restart
from schedules.engine.due import BlockDates
from schedules.engine.rule import SILENT
from schedules.engine.rules import RULE_MODULES

Rows = Sequence[tuple[Any, ...]]
COPY_HEADER = b"PGCOPY\n\xff\r\n\0" + bytes(8)
COPY_TRAILER = b"\xff\xff"


@dataclass(frozen=True)
class Fresh:
    """The M answers of a part that differ from what is stored, or whose fans are marked stale.

    at : places of the fans in ``stored``, shape (M,)
    columns : what is written, by name, each of shape (M,); days and rules 0 for none
    changed : how many differ
    """

    stored: Stored
    at: NDArray[np.intp]
    columns: Mapping[str, NDArray[Any]]
    changed: int

    @staticmethod
    def of(stored: Stored, places: NDArray[np.intp], block: BlockDates) -> Fresh:
        """Pick from a part, whose fans have these places in ``stored``."""
        answers = pack_answers(block).view(f"V{ANSWER.itemsize}")
        kept = zip(places.tolist(), answers.tolist(), strict=True)
        changed = np.array([stored.dates[place] != answer for place, answer in kept], np.bool_)
        behind = stored.revision[places] != stored.reckoned_revision[places]
        chosen = np.flatnonzero(changed | behind)
        at = places[chosen]
        columns: dict[str, NDArray[Any]] = {
            "due_day": block.due_day[chosen],
            "due_rule": block.due_rule[chosen].astype(np.int16),
            "overdue_after_day": block.overdue_after_day[chosen],
            "overdue_rule": block.overdue_rule[chosen].astype(np.int16),
            "not_before_day": block.not_before_day[chosen],
            "dates": answers[chosen],
            "worst_verdict": block.worst_verdict[chosen].astype(np.int16),
            "made_safe_day": _made_safe_day(block)[chosen],
            "revision": stored.revision[at],
            "fan_id": np.array([stored.fan_ids[place] for place in at.tolist()], np.int64),
        }
        return Fresh(stored, at, columns, int(np.count_nonzero(changed)))

    @cached_property
    def rows(self) -> Rows:
        """The columns side by side as the database takes values, as ANSWER_TYPES names them."""
        return list(zip(*(_values(*each) for each in self.columns.items()), strict=True))

    def copied(self) -> bytes:
        """The columns as COPY takes them in binary; no value is null, so all rows are alike."""
        layout: list[tuple[str, Any]] = [("columns", ">i2")]
        for name, column in self.columns.items():
            layout += [(f"{name} bytes", ">i4"), (name, column.dtype.newbyteorder(">"))]
        rows = np.empty(len(self.at), layout)
        rows["columns"] = len(self.columns)
        for name, column in self.columns.items():
            rows[f"{name} bytes"], rows[name] = column.dtype.itemsize, column
        return COPY_HEADER + rows.tobytes() + COPY_TRAILER

    def moves(self, now: datetime) -> Rows:
        """Moves of a day or its rule, as rows of CHANGE_TYPES; a first answer is no change."""
        known = np.flatnonzero(self.stored.reckoned_revision[self.at])
        after = (_values(name, self.columns[name][known]) for name in ("due_day", "due_rule"))
        # As the ORM writes it: SQLite compares text, and with an offset it is another one.
        moved_at: Any = connection.ops.adapt_datetimefield_value(now)
        moves = []
        for at, due_on, due_rule in zip(self.at[known].tolist(), *after, strict=True):
            before = self.stored.due_on[at], self.stored.due_rule[at]
            if before != (due_on, due_rule):
                fan_id = self.stored.fan_ids[at]
                moves.append((fan_id, moved_at, before[0], due_on, before[1], due_rule))
        return moves


def _made_safe_day(block: BlockDates) -> NDArray[np.int32]:
    """Since when fans are out of service, shape (N,); SILENT for those in service."""
    told = block.rules[RULE_MODULES.index(restart)]
    day = told.args[:, restart.arg_names.index("made_safe_day")]
    return np.where(told.due_day == SILENT, SILENT, day).astype(np.int32)


def _values(name: str, column: NDArray[Any]) -> list[Any]:
    """A column as Python's values: days as dates, None for no day or rule."""
    if name.endswith("_day"):
        return [date.fromordinal(day) if day != SILENT else None for day in column.tolist()]
    if name.endswith("_rule"):
        return [rule or None for rule in column.tolist()]
    return column.tolist()
