"""Losses of function of a fan whose record was read: each once, as the tables tell of them."""

from __future__ import annotations

from datetime import datetime

from config.questions import Row
from fleet.quantities import item_of
from schedules.due.truth import Truth
from visits.losses import Loss, failed_by, told_together


def told_losses(truth: Truth, fan_id: int) -> list[list[Row]]:
    """Rows of its findings that tell of one loss of function together, the first telling first.

    The same count as ``visits.losses.once_each`` makes by statements of its own.
    """
    rows = [
        row
        for row in truth.findings.get(fan_id, ())
        if row["loss_of_function"] and not row["call_back"]
    ]
    if len(rows) < 2:
        return [[row] for row in rows]
    by_id = {row["id"]: row for row in rows}
    worked: dict[tuple[int, str], list[datetime]] = {}
    for each in truth.actions.get(fan_id, ()):
        worked.setdefault((fan_id, item_of(each["item"])), []).append(each["visit__began_at"])
    ran = [
        (check["visit__began_at"], check["stage"] == "as_left")
        for check in truth.checks.get(fan_id, ())
        if check["running"] == "runs"
    ]
    together = told_together(map(_loss, rows), worked, {fan_id: ran})
    return [[by_id[loss.finding] for loss in each] for each in together]


def _loss(row: Row) -> Loss:
    found_on = row["visit__local_on"]
    return Loss(
        row["fan_id"], item_of(row["item"]), failed_by(row["failed_on"], found_on), found_on,
        row["visit__began_at"], row["id"],
    )  # fmt: skip
