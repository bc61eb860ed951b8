"""What keeps visits of a week from being made: as entered, and fans that owners still supply."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from fleet.models import Blocker
from schedules.due.supplied import parts_awaited
from schedules.models import DueState


def blockers_of(first_on: date, last_on: date) -> Sequence[Blocker]:
    """Those that hold on one of these days.

    A fan out of service waits for what its owner supplies; one that runs is visited meanwhile.
    """
    out = DueState.objects.filter(made_safe_on__isnull=False, fan__supplied__isnull=False)
    awaited = parts_awaited(set(out.values_list("fan_id", flat=True)), first_on)
    return [*Blocker.objects.standing(first_on, last_on), *awaited]
