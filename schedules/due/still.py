"""Fans found standing still, or not doing their work, where nothing on record says otherwise since.

Dates rest on the worst reading, and of several stops a line names one: a fan that shakes and stands
still would be told of by its vibration alone.
"""

from __future__ import annotations

import logging
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from django.db.models import Exists, OuterRef

from config.questions import Row
from fleet.models import Fan
from schedules.due.beside import told_running
from schedules.due.evidence import is_on_no_belt
from schedules.due.records import records_in
from schedules.due.truth import Truth, read_truth
from schedules.engine.codes import STOP, WATCH
from schedules.engine.findings import SETTLING, standing_findings, worked_on
from schedules.engine.record import FanRecord
from schedules.models import DueState
from visits.models import Check, Finding, RunningTold
from visits.models.visits import superseded

log = logging.getLogger(__name__)
RUNNING = "running"
SET_GOING = SETTLING | {"temporary"}


@dataclass(frozen=True)
class FoundStill:
    """``item`` is what somebody wrote down as having lost its function; empty where the fan was
    seen standing.  ``no_belt`` where that is of a belt and the fan has none by the register.
    ``said_to_run`` is the kitchen's word since: it settles nothing, and its owner reads both."""

    on: date
    item: str = ""
    no_belt: bool = False
    said_to_run: RunningTold | None = None


def found_still(states: Sequence[DueState]) -> Mapping[int, FoundStill]:
    """By fan id; one statement, and some more where any of these fans ever stood still."""
    asked = [state.fan_id for state in states if state.worst_verdict >= WATCH]
    ever = _ever_still(asked)
    found = dict(_found(read_truth(ever))) if ever else {}
    words = told_running(found) if found else {}
    return {fan: replace(still, said_to_run=words.get(fan)) for fan, still in found.items()}


def _ever_still(fan_ids: Iterable[int]) -> list[int]:
    here = {"fan": OuterRef("pk")}
    dead = Check.objects.order_by().filter(~superseded("visit"), running="dead", **here)
    lost = Finding.objects.order_by().standing().filter(loss_of_function=True, **here)
    fans = Fan.objects.filter(Exists(dead) | Exists(lost), pk__in=list(fan_ids))
    return list(fans.order_by("pk").values_list("pk", flat=True))


def _found(truth: Truth) -> Iterator[tuple[int, FoundStill]]:
    for fan, build in records_in(truth):
        try:
            still = _still(build(), fan["id"], truth)
        except (ValueError, TypeError, AttributeError, ArithmeticError, LookupError):
            # such a record cannot be reckoned either, which its line says
            log.exception("whether fan %s stands cannot be read", fan["id"])
            continue
        if still:
            yield fan["id"], still


def _still(record: FanRecord, fan_id: int, truth: Truth) -> FoundStill | None:
    """That it was seen standing says more than that something lost its function."""
    standing = {each.subject: each for each in standing_findings(record) if not each.temporary_day}
    running = standing.get(RUNNING)
    if running and running.verdict == STOP:
        return FoundStill(date.fromordinal(running.seen_day))
    for row in reversed(truth.findings.get(fan_id, ())):
        is_open = row["loss_of_function"] and (row["subject"] or row["item"]) in standing
        if is_open and not (row["closed_on"] or _set_going(row, fan_id, truth)):
            return FoundStill(row["visit__local_on"], row["item"], is_on_no_belt(row, truth))
    return None


def _set_going(row: Row, fan_id: int, truth: Truth) -> bool:
    """Whether that item was worked on, or the fan seen running, since it lost its function."""
    began, names = row["visit__began_at"], {row["subject"], row["item"]}
    mended = any(
        each["kind"] in SET_GOING
        and each["visit__began_at"] >= began
        and worked_on(each["kind"], each["item"]) & names
        for each in truth.actions.get(fan_id, ())
    )
    return mended or any(
        each["running"] == "runs" and (each["visit__began_at"] > began or _left_so(each, row))
        for each in truth.checks.get(fan_id, ())
    )


def _left_so(check: Row, row: Row) -> bool:
    return check["stage"] == "as_left" and check["visit_id"] == row["visit_id"]
