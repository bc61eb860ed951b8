"""What a kitchen tells of its fans: stored once for each page sent, never an inspection."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID, uuid5

from fleet.models import Fan, OwnerLink
from visits.models import RunningTold


@dataclass(frozen=True)
class RunningAnswers:
    """What one page was sent with: ``by_fan`` an answer by fan id, under a typed name."""

    page_id: UUID
    by_fan: Mapping[int, str]
    name: str
    note: str = ""


def record_running(
    *, link: OwnerLink, told: RunningAnswers, now: datetime
) -> tuple[Sequence[RunningTold], bool]:
    """The rows, and whether they are new; the same page again gives back what it stored.

    Raises ValueError for a fan that is not at the link's site.
    """
    ids = {fan_id: uuid5(told.page_id, str(fan_id)) for fan_id in told.by_fan}
    there = list(RunningTold.objects.filter(pk__in=ids.values(), link=link).select_related("fan"))
    if there:
        return there, False
    fans = {fan.pk: fan for fan in Fan.objects.filter(site=link.site_id, pk__in=ids)}
    if fans.keys() != ids.keys():
        raise ValueError(f"fans {sorted(ids.keys() - fans.keys())} are not at {link.site}")
    on = now.astimezone(link.site.zone).date() if link.site else now.date()
    rows = [
        RunningTold(
            id=ids[fan_id], fan=fans[fan_id], link=link, answer=answer, told_by=told.name,
            note=told.note, told_on=on, received_at=now,
        )
        for fan_id, answer in told.by_fan.items()
    ]  # fmt: skip
    return RunningTold.objects.bulk_create(rows), True
