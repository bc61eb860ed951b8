"""Read everything a block of fans has on record, in one statement."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Exists, Model, OuterRef, Q

from config.questions import Part, Question, Row, Values
from fleet.models import Agreement, CookingPeriod, ExpectedCleaning, Machine
from schedules.due.calendars import OF_CALENDARS, calendars_in, of_place, places
from schedules.engine.record import Calendar
from schedules.models import DueState
from visits.models import (
    Action,
    Check,
    Closing,
    Decision,
    Event,
    Finding,
    MadeSafe,
    SystemInspection,
    Visit,
)

Grouped = dict[int, list[Row]]
Found = dict[str, list[Row]]

MACHINE_COLUMNS = (
    "id", "installed_on", "drive", "shaft_rpm", "speed_rpm", "hertz", "bore_mm", "frame",
    "bearings", "shaft", "maker_regrease_h", "first_here", "power_hp", "mounting",
)  # fmt: skip
VISIT_COLUMNS = (
    "visit_id", "visit__local_on", "visit__local_minute", "visit__began_at", "visit__kind",
    "visit__here",
)  # fmt: skip
FINDING_COLUMNS = (
    "subject", "item", "verdict", "lasting", "recheck_on", "loss_of_function", "call_back",
    "failed_on",
)  # fmt: skip
EVENT_COLUMNS = (
    "id", "kind", "site_id", "system_id", "fan_id", "started_on", "started_minute", "ended_on",
    "ended_minute", "places_cleaned", "wheel_cleaned", "running_on",
)  # fmt: skip
DUE_COLUMNS = (
    "fan_id", "site_id", "owner_id", "revision", "reckoned_revision", "due_on", "due_rule",
    "overdue_after", "overdue_rule", "not_before", "dates", "worst_verdict", "fault",
)  # fmt: skip


@dataclass(frozen=True)
class Truth:
    """Rows by fan, by system, by site or by owner, each in time order; calendars by fan.

    ``due`` are the fans' due rows, as they stood when the rest was read.
    """

    fans: list[Row]
    due: list[Row]
    machines: Grouped
    checks: Grouped
    actions: Grouped
    findings: Grouped
    decisions: Grouped
    made_safe: Grouped
    inspections: Grouped
    events_by_site: Grouped
    cooking: Grouped
    expected: Grouped
    agreements: Grouped
    calendars: dict[int, Calendar]


def read_truth(fan_ids: Sequence[int]) -> Truth:
    """All standing rows of these fans, of their systems, sites and owners."""
    return _told(TRUTH.ask(fans=fan_ids))


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
        due=found["due"],
        machines=_group("fan_id", found["machines"]),
        checks=_group("fan_id", found["checks"]),
        actions=_group("fan_id", found["actions"]),
        findings=_group("fan_id", found["findings"]),
        decisions=_group("fan_id", found["decisions"]),
        made_safe=_group("fan_id", found["made_safe"]),
        inspections=_group("system_id", found["inspections"]),
        events_by_site=_group("site_id", found["events"]),
        cooking=_group("system_id", found["cooking"]),
        expected=_group("system_id", found["expected"]),
        agreements=_group("owner_id", found["agreements"]),
        calendars=calendars_in(found),
    )


def _group(key: str, rows: Iterable[Row]) -> Grouped:
    grouped: Grouped = defaultdict(list)
    for row in rows:
        grouped[row[key]].append(row)
    return grouped


def _visited(model: type[Model], *columns: str) -> Part:
    """Rows that hang on a visit nobody superseded, in the order the visits began."""
    return lambda given: (
        model._default_manager.filter(~superseded("visit"), fan__among=given["fans"])
        .order_by("visit__began_at", "visit_id", "id")
        .values("id", "fan_id", *VISIT_COLUMNS, *columns)
    )


def superseded(visit: str) -> Exists:
    """Whether a correction has replaced that visit.

    The planner knows what an EXISTS leaves over, while of the outer join that asks the same it
    expects no row at all, and a prepared statement then walks all visits there are.
    """
    return Exists(Visit.objects.filter(supersedes=OuterRef(visit)))


def _check_columns() -> tuple[str, ...]:
    skipped = {"id", "visit", "fan", "notes", "switch_left"}
    return tuple(f.attname for f in Check._meta.concrete_fields if f.name not in skipped)


def _decisions(given: Any) -> Values:
    standing = ~superseded("visit"), ~superseded("recommendation__visit")
    rows = Decision.objects.filter(*standing, fan__among=given["fans"])
    return rows.order_by("decided_on", "id").values(
        "id", "fan_id", "subject", "answer", "decided_on"
    )


TRUTH = Question(
    ["fans"],
    **OF_CALENDARS,
    due=lambda given: (
        DueState.objects.filter(fan__among=given["fans"]).order_by("fan_id").values(*DUE_COLUMNS)
    ),
    machines=lambda given: Machine.objects.filter(fan__among=given["fans"]).values(
        "fan_id", *MACHINE_COLUMNS
    ),
    checks=_visited(Check, *_check_columns()),
    actions=_visited(Action, "kind", "item"),
    findings=_visited(Finding, *FINDING_COLUMNS),
    closings=lambda given: (
        Closing.objects.filter(finding__fan__among=given["fans"])
        .order_by("closed_on")
        .values("finding_id", "closed_on")
    ),
    decisions=_decisions,
    made_safe=_visited(MadeSafe, "promised_on"),
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
)
