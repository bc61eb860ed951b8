"""Which attempt a stop's fans are at, and what became of the last one."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from schedules.done.misses import Misses, misses_of
from schedules.models import PlannedRound, PlannedStop, StopFan
from schedules.rounds.clocks import WeekClock
from schedules.rounds.sheet import WeekSheet
from schedules.wording.done import attempt_text

WEEKS_BACK = 8
"""How far back broken promises are looked for; our choice."""


def mark_attempts(days: Sequence[Mapping[str, Any]], sheet: WeekSheet, clock: WeekClock) -> None:
    """Give each stop of a shown week its ``attempts``, a sentence for fans that have the same one.

    The number of queries does not grow.
    """
    told = _texts(sheet, clock)
    for day in days:
        for each in day["rounds"]:
            for stop in each["stops"]:
                stop["attempts"] = told.get(stop["key"], ())


def _texts(sheet: WeekSheet, clock: WeekClock) -> Mapping[str, Sequence[str]]:
    fans = StopFan.objects.filter(stop__round__version=sheet.version).order_by().values("fan")
    misses = misses_of(fans, clock.next_monday, clock.now, WEEKS_BACK)
    return {
        str(stop.key): list(_of_stop(row, stop, misses))
        for row in sheet.rounds
        for stop in row.stops.all()
    }


def _of_stop(row: PlannedRound, stop: PlannedStop, misses: Misses) -> Iterator[str]:
    by_text: dict[str, list[str]] = defaultdict(list)
    for work in stop.fans.all():
        if text := attempt_text(misses.before(work.fan_id, row.day), row.day):
            by_text[text].append(work.fan.tag)
    for text, tags in by_text.items():
        yield f"{', '.join(dict.fromkeys(tags))}: {text}"
