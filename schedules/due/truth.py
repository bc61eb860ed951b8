"""Read everything a block of fans has on record, in a fixed number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Model, Q

from fleet.models import (
    Agreement,
    CookingPeriod,
    ExpectedCleaning,
    Fan,
    Machine,
)
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

Row = dict[str, Any]
Grouped = dict[int, list[Row]]

FAN_COLUMNS = (
    "id", "site_id", "system_id", "entered_on", "onboarding_on", "hour_meter_digits",
    "site__time_zone", "site__surroundings", "site__owner_id",
)  # fmt: skip
VISIT_COLUMNS = (
    "visit_id", "visit__local_on", "visit__local_minute", "visit__began_at", "visit__kind",
    "visit__here",
)  # fmt: skip
EVENT_COLUMNS = (
    "id", "kind", "site_id", "system_id", "fan_id", "started_on", "started_minute", "ended_on",
    "ended_minute", "places_cleaned", "wheel_cleaned", "running_on",
)  # fmt: skip


@dataclass(frozen=True)
class Truth:
    """Rows by fan, by system or by owner, each in time order."""

    fans: list[Row]
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


def read_truth(fan_ids: Sequence[int]) -> Truth:
    """All standing rows of these fans, of their systems, sites and owners."""
    fans = list(Fan.objects.filter(pk__in=fan_ids).order_by("pk").values(*FAN_COLUMNS))
    systems = {fan["system_id"] for fan in fans}
    owners = {fan["site__owner_id"] for fan in fans}
    return Truth(
        fans=fans,
        machines=_group("fan_id", Machine.objects.filter(fan__in=fan_ids).values()),
        checks=_visited(Check, fan_ids, "id", "stage", "machine_id", "judged", *_check_columns()),
        actions=_visited(Action, fan_ids, "id", "kind", "item"),
        findings=_findings(fan_ids),
        decisions=_decisions(fan_ids),
        made_safe=_visited(MadeSafe, fan_ids, "promised_on"),
        inspections=_inspections(systems),
        events_by_site=_events({fan["site_id"] for fan in fans}),
        cooking=_group("system_id", CookingPeriod.objects.filter(system__in=systems).values()),
        expected=_group("system_id", ExpectedCleaning.objects.filter(system__in=systems).values()),
        agreements=_group("owner_id", Agreement.objects.filter(owner__in=owners).values()),
    )


def _check_columns() -> tuple[str, ...]:
    skipped = {"id", "visit", "fan", "machine", "stage", "judged", "notes", "switch_left"}
    return tuple(f.name for f in Check._meta.concrete_fields if f.name not in skipped)


def _group(key: str, rows: Iterable[Any]) -> Grouped:
    grouped: Grouped = defaultdict(list)
    for row in rows:
        grouped[row[key]].append(row)
    return grouped


def _visited(model: type[Model], fan_ids: Sequence[int], *columns: str) -> Grouped:
    """Rows that hang on a visit nobody superseded, in the order the visits began."""
    rows = (
        model._default_manager.filter(fan__in=fan_ids, visit__superseded_by__isnull=True)
        .order_by("visit__began_at", "visit_id", "pk")
        .values("fan_id", *VISIT_COLUMNS, *columns)
    )
    return _group("fan_id", rows)


def _findings(fan_ids: Sequence[int]) -> Grouped:
    found = _visited(
        Finding, fan_ids, "id", "subject", "item", "verdict", "lasting", "recheck_on",
        "loss_of_function", "call_back", "failed_on",
    )  # fmt: skip
    closed = dict(
        Closing.objects.filter(finding__fan__in=fan_ids)
        .order_by("-closed_on")
        .values_list("finding_id", "closed_on")
    )
    for row in (row for rows in found.values() for row in rows):
        row["closed_on"] = closed.get(row["id"])
    return found


def _decisions(fan_ids: Sequence[int]) -> Grouped:
    standing = Q(visit__isnull=True) | Q(visit__superseded_by__isnull=True)
    advice = Q(recommendation__isnull=True) | Q(recommendation__visit__superseded_by__isnull=True)
    rows = Decision.objects.filter(standing, advice, fan__in=fan_ids)
    return _group("fan_id", rows.values("fan_id", "subject", "answer", "decided_on"))


def _inspections(systems: Iterable[int]) -> Grouped:
    rows = (
        SystemInspection.objects.filter(system__in=list(systems), visit__superseded_by__isnull=True)
        .order_by("visit__local_on", "pk")
        .values("system_id", "qualified", "visit__local_on")
    )
    return _group("system_id", rows)


def _events(sites: Iterable[int]) -> Grouped:
    tipped: dict[Any, set[int]] = defaultdict(set)
    pairs = Event.tipped_fans.through.objects.filter(event__site__in=list(sites))
    for event_id, fan_id in pairs.values_list("event_id", "fan_id"):
        tipped[event_id].add(fan_id)
    events = Event.objects.standing().filter(site__in=list(sites)).order_by("ended_on", "id")
    rows = ({**row, "tipped": tipped[row["id"]]} for row in events.values(*EVENT_COLUMNS))
    return _group("site_id", rows)
