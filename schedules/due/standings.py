"""Where fans stand by the rules alone, before any onboarding day: who is seen first."""

from __future__ import annotations

import logging
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date

import numpy as np

from fleet.services.onboarding import Standing
from schedules.due.reading import BLOCK
from schedules.due.records import fan_records
from schedules.engine.due import reckon
from schedules.engine.history import fold_record
from schedules.engine.parameters import DueParams
from schedules.engine.record import Calendar
from schedules.engine.rule import SILENT, Columns

log = logging.getLogger(__name__)
Folded = tuple[int, Columns, Calendar | None]


def standings(fan_ids: Sequence[int], today: date) -> Iterator[Standing]:
    """Each fan's worst open verdict and its days overdue if nothing held its dates back.

    A fan that cannot be reckoned counts as not overdue.
    """
    for start in range(0, len(fan_ids), BLOCK):
        block = sorted(fan_ids[start : start + BLOCK])
        found = {standing.fan_id: standing for standing in _reckoned(block, today.toordinal())}
        yield from (found.get(fan_id, Standing(fan_id, 0, 0)) for fan_id in block)


def _reckoned(fan_ids: Sequence[int], today: int) -> Iterator[Standing]:
    """The standing of each fan whose record can be reckoned, as one block by width of row."""
    by_width: dict[int, list[Folded]] = {}
    params = DueParams()
    for folded in _folded(fan_ids, params):
        by_width.setdefault(folded[1].itemsize, []).append(folded)
    for rows in by_width.values():
        places = {calendar: at for at, calendar in enumerate({c: None for _, _, c in rows if c})}
        index = np.array([places[c] if c else -1 for _, _, c in rows], np.int32)
        columns = np.concatenate([row for _, row, _ in rows])
        block = reckon(columns, tuple(places), index, params)
        answers = zip(block.worst_verdict.tolist(), block.overdue_after_day.tolist(), strict=True)
        for (fan_id, _, _), (worst, day) in zip(rows, answers, strict=True):
            yield Standing(fan_id, worst, today - day if day != SILENT else 0)


def _folded(fan_ids: Sequence[int], params: DueParams) -> Iterator[Folded]:
    for fan, build in fan_records(fan_ids):
        try:
            record = replace(build(), onboarding_day=None)
            yield fan["id"], fold_record(record, params), record.calendar
        except (ValueError, TypeError, AttributeError, ArithmeticError, LookupError):
            log.exception("fan %s cannot be reckoned", fan["id"])
