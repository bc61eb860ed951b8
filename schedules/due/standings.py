"""Where fans stand by the rules alone, before any onboarding day: who is seen first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date

from fleet.services.onboarding import Standing
from schedules.due.records import fan_records
from schedules.engine.due import reckon_one
from schedules.models import DueState


def standings(fan_ids: Sequence[int], today: date) -> Iterator[Standing]:
    """Each fan's worst open verdict and its days overdue if nothing held its dates back."""
    worst = dict(DueState.objects.filter(fan__in=fan_ids).values_list("fan_id", "worst_verdict"))
    for fan, build in fan_records(fan_ids):
        free = reckon_one(replace(build(), onboarding_day=None)).overdue
        late = today.toordinal() - free.overdue_after_day if free else 0
        yield Standing(fan["id"], worst.get(fan["id"], 0), late)
