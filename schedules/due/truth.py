"""Read everything a block of fans has on record, in one statement."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Exists, Model, OuterRef, Q
from django.utils import timezone

from config.questions import Part, Question, Row, Values
from fleet.models import Agreement, CookingPeriod, ExpectedCleaning, Feed, Machine
from schedules.due.behind import (
    FEED_IN_TIME,
    MACHINE_COLUMNS,
    NOTE_COLUMNS,
    OF_FAN,
    Behind,
    Grouped,
    check_columns,
    grouped,
    of_fans,
    visited,
)
from schedules.due.calendars import OF_CALENDARS, calendars_in, of_place, places
from schedules.engine.record import Calendar, FailurePrior
from schedules.models import DueState, FailureClass, FanHistory
from schedules.revisions import add_rows, raise_kept
from visits.models import (
    Action,
    Check,
    Closing,
    Decision,
    Event,
    Finding,
    MadeSafe,
    SystemInspection,
)
from visits.models.visits import superseded
from visits.services import Rows

Found = dict[str, list[Row]]

FINDING_COLUMNS = (
    *NOTE_COLUMNS, "lasting", "recheck_on", "loss_of_function", "call_back", "failed_on",
    "failure_mode", "mechanism", "cause",
)  # fmt: skip
EVENT_COLUMNS = (
    "id", "kind", "site_id", "system_id", "fan_id", "started_on", "started_minute", "ended_on",
    "ended_minute", "places_cleaned", "wheel_cleaned", "running_on",
)  # fmt: skip
CLASS_COLUMNS = ("drive", "shape", "mean_a_year", "fans")
DUE_COLUMNS = (
    "fan_id", "site_id", "owner_id", "revision", "reckoned_revision", "due_on", "due_rule",
    "overdue_after", "overdue_rule", "not_before", "dates", "worst_verdict",
    "made_safe_on", "fault",
)  # fmt: skip


@dataclass(frozen=True)
class Truth(Behind):
    """Rows by fan, by system, by site or by owner, each in time order; calendars by fan, what is
    thought of failures by drive.

    ``due`` are the fans' due rows, as they stood when the rest was read; ``histories`` what they
    were reckoned from, where somebody is to be answered at once.
    """

    due: list[Row]
    histories: list[Row]
    actions: Grouped
    decisions: Grouped
    made_safe: Grouped
    inspections: Grouped
    events_by_site: Grouped
    cooking: Grouped
    expected: Grouped
    agreements: Grouped
    calendars: dict[int, Calendar]
    priors: Mapping[str, FailurePrior]


def read_truth(fan_ids: Sequence[int]) -> Truth:
    """All standing rows of these fans, of their systems, sites and owners."""
    return _told(TRUTH.ask(fans=fan_ids))


class ReadAhead:
    """What is on record of fans, asked for while a visit is made ready that only adds to it.

    The fans are marked as touched first: from then on nobody else changes what they hang on before
    this transaction ends, and what was read holds.
    """

    def __init__(self, fan_ids: Sequence[int]) -> None:
        self._fan_ids, self._now = list(fan_ids), timezone.now()
        raise_kept(self._fan_ids, self._now)
        self._found = WITH_HISTORIES.send(fans=self._fan_ids)

    def write(self, rows: Rows) -> Truth:
        """What is on record once these rows are, which are sent to be written."""
        write, found = rows.ready(), self._found()
        if len(found["due"]) < len(self._fan_ids):
            add_rows(self._fan_ids, self._now)
            found = WITH_HISTORIES.ask(fans=self._fan_ids)
        write()
        for name, models in _telling(rows).items():
            if models:
                found[name] = WITH_HISTORIES.joined(name, found[name], models)
        return _told(found)


def _telling(rows: Rows) -> dict[str, Sequence[Model]]:
    """Those of a visit's rows that dates are reckoned from, as TRUTH names them."""
    return {
        "checks": [check.row for check in rows.checks],
        "actions": rows.actions,
        "findings": rows.findings,
        "made_safe": rows.made_safe,
        "inspections": rows.inspections,
    }


def read_truth_one_by_one(fan_ids: Sequence[int]) -> Truth:
    """The same by a query for each table, for comparison."""
    return _told(TRUTH.ask_one_by_one(fans=fan_ids))


def _told(found: Found) -> Truth:
    closed = {row["finding_id"]: row["closed_on"] for row in reversed(found["closings"])}
    for row in found["findings"]:
        row["closed_on"] = closed.get(row["id"])
    tipped: dict[Any, set[int]] = defaultdict(set)
    for row in found["tipped"]:
        tipped[row["event_id"]].add(row["fan_id"])
    for row in found["events"]:
        row["tipped"] = tipped[row["id"]]
    found["machines"].sort(key=lambda row: row["installed_on"] or date.min)
    return Truth(
        fans=found["fans"],
        **{name: grouped("fan_id", found[name]) for name in OF_FAN},
        due=found["due"],
        histories=found.get("histories", []),
        actions=grouped("fan_id", found["actions"]),
        decisions=grouped("fan_id", found["decisions"]),
        made_safe=grouped("fan_id", found["made_safe"]),
        inspections=grouped("system_id", found["inspections"]),
        events_by_site=grouped("site_id", found["events"]),
        cooking=grouped("system_id", found["cooking"]),
        expected=grouped("system_id", found["expected"]),
        agreements=grouped("owner_id", found["agreements"]),
        calendars=calendars_in(found),
        priors={
            row["drive"]: FailurePrior(row["shape"], row["mean_a_year"], row["fans"])
            for row in found["classes"]
            if row["shape"] is not None
        },
    )


def _taken_back() -> Q:
    """A no to advice that a later answer to the same advice replaced: it doubles no days."""
    later = Decision.objects.order_by().filter(
        Q(decided_on__gt=OuterRef("decided_on"))
        | Q(decided_on=OuterRef("decided_on"), received_at__gt=OuterRef("received_at")),
        recommendation=OuterRef("recommendation"),
        answer__in=(Decision.Answer.GO_AHEAD, Decision.Answer.NOT_NOW),
    )
    return Q(Exists(later), answer=Decision.Answer.DECLINED)


def _decisions(given: Any) -> Values:
    standing = ~superseded("visit"), ~superseded("recommendation__visit")
    rows = Decision.objects.filter(*standing, ~_taken_back(), fan__among=given["fans"])
    return rows.order_by("decided_on", "received_at", "id").values(
        "id", "fan_id", "subject", "answer", "decided_on", "received_at"
    )


PARTS: dict[str, Part] = dict(
    **OF_CALENDARS,
    due=lambda given: (
        DueState.objects.filter(fan__among=given["fans"]).order_by("fan_id").values(*DUE_COLUMNS)
    ),
    machines=of_fans(Machine, *MACHINE_COLUMNS, "first_here"),
    feeds=of_fans(Feed, *FEED_IN_TIME),
    checks=visited(Check, *check_columns()),
    actions=visited(Action, "kind", "item"),
    findings=visited(Finding, *FINDING_COLUMNS),
    closings=lambda given: (
        Closing.objects.filter(finding__fan__among=given["fans"])
        .order_by("closed_on")
        .values("finding_id", "closed_on")
    ),
    decisions=_decisions,
    made_safe=visited(MadeSafe, "promised_on"),
    inspections=of_place(
        "system",
        lambda: SystemInspection.objects.filter(~superseded("visit")),
        ("visit__local_on", "id"),
        "qualified",
    ),
    tipped=lambda given: Event.tipped_fans.through.objects.filter(
        event__site__in=places(given, "site")
    ).values("event_id", "fan_id"),
    events=of_place("site", Event.objects.standing, ("ended_on", "id"), *EVENT_COLUMNS),
    cooking=of_place("system", CookingPeriod.objects.all, ("valid_from",), "classes"),
    expected=of_place("system", ExpectedCleaning.objects.all, ("day",)),
    agreements=of_place(
        "owner", Agreement.objects.all, ("starts_on",), "reliability", "stretching_allowed"
    ),
    classes=lambda _: FailureClass.objects.values(*CLASS_COLUMNS),
)
TRUTH = Question(["fans"], **PARTS)
WITH_HISTORIES = Question(
    ["fans"],
    **PARTS,
    histories=lambda given: FanHistory.objects.filter(fan__among=given["fans"]).values(
        "fan_id", "revision", "row"
    ),
)
"""The same, with the packed histories that stand."""
