"""Stored dates held against all that is on record, after whatever happened to them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from schedules.due.reckoning import BLOCK, reckon_fans, reckon_fleet
from schedules.models import DueState


@dataclass(frozen=True)
class Compared:
    """How many fans were compared, and what was wrong.

    ``lost`` have other dates stored than their record gives, ``stale`` are still to be reckoned
    after a pass over what is stale, ``restless`` change once more in a pass over everything.
    """

    fans: int
    lost: int
    stale: int
    restless: int

    def complaints(self) -> list[str]:
        """A sentence for each claim that does not hold."""
        told = {
            "fans have dates stored that are not those of their record.": self.lost,
            "fans are still to be reckoned after a pass over what is stale.": self.stale,
            "dates change by one more pass.": self.restless,
        }
        return [f"{count} {what}" for what, count in told.items() if count]


def compare_with_record(fan_ids: Sequence[int], now: datetime) -> Compared:
    """Reckon what is stale, then these fans anew from their records, then everything again."""
    reckon_fleet(now=now)
    stale = DueState.objects.stale().count()
    lost = 0
    for begin in range(0, len(fan_ids), BLOCK):
        chosen = fan_ids[begin : begin + BLOCK]
        rows = DueState.objects.filter(fan__in=chosen)
        before = dict(rows.values_list("fan", "dates"))
        reckon_fans(fan_ids=chosen, now=now)
        lost += sum(before[fan_id] != dates for fan_id, dates in rows.values_list("fan", "dates"))
    restless = reckon_fleet(now=now, only_stale=False).changed
    return Compared(len(fan_ids), lost, stale, restless)
