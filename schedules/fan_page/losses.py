"""Losses of function in a fan's file, each once: the count that statistics of failures go by."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import datetime

from fleet.quantities import item_of
from schedules.fan_page.gathering import FanFile, is_superseded
from visits.losses import Loss, failed_by, told_together
from visits.models import Finding


def losses_in(file: FanFile) -> list[Loss]:
    """As ``visits.losses.once_each`` has them, from what the file has read."""
    worked: dict[tuple[int, str], list[datetime]] = defaultdict(list)
    for _, action in file.standing_actions:
        worked[file.fan.pk, item_of(action.item)].append(file.visits[action.visit_id].began_at)
    ran = [
        (file.visits[check.visit_id].began_at, check.stage == "as_left")
        for check in file.standing_checks
        if check.running == "runs"
    ]
    together = told_together(_told(file), worked, {file.fan.pk: ran})
    return [first for first, *_ in together]


def _told(file: FanFile) -> Iterator[Loss]:
    for visit_id, rows in file.parts[Finding].items():
        visit = file.visits[visit_id]
        for row in rows if not is_superseded(visit) else ():
            if row.loss_of_function and not row.call_back:
                yield Loss(
                    file.fan.pk, item_of(row.item), failed_by(row.failed_on, visit.local_on),
                    visit.local_on, visit.began_at, row.pk,
                )  # fmt: skip
