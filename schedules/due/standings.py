"""Where fans stand by the rules alone, before any onboarding day: who is seen first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from fleet.services.onboarding import Standing
from schedules.due.calendars import CalendarBook
from schedules.due.histories import pack, rebuild_missing
from schedules.due.reading import BLOCK, stored_of
from schedules.engine.due import reckon
from schedules.engine.parameters import DueParams
from schedules.engine.rule import SILENT

PARAMS = DueParams()


def standings(fan_ids: Sequence[int], today: date) -> Iterator[Standing]:
    """Each fan's worst open verdict and its days overdue if nothing held its dates back.

    Packed histories answer, so that fans nobody touched cost little.  A fan that cannot be
    reckoned counts as not overdue.
    """
    book = CalendarBook()
    for start in range(0, len(fan_ids), BLOCK):
        block = sorted(fan_ids[start : start + BLOCK])
        found = {standing.fan_id: standing for standing in _reckoned(block, today, book)}
        yield from (found.get(fan_id, Standing(fan_id, 0, 0)) for fan_id in block)


def _reckoned(fan_ids: Sequence[int], today: date, book: CalendarBook) -> Iterator[Standing]:
    stored = stored_of(fan_ids, PARAMS)
    if stored is None:
        return
    packed = pack(stored, rebuild_missing(stored, PARAMS, book), PARAMS, book)
    for places, histories in packed.by_width:
        columns = histories.copy()
        columns["onboarding_day"] = SILENT
        dates = reckon(columns, packed.calendars, packed.index[places], PARAMS)
        answers = zip(dates.worst_verdict.tolist(), dates.overdue_after_day.tolist(), strict=True)
        for at, (worst, day) in zip(places.tolist(), answers, strict=True):
            late = today.toordinal() - day if day != SILENT else 0
            yield Standing(stored.fan_ids[at], worst, late)
