"""One visit whole: every part of it, readings as typed and in the registry's units."""

from __future__ import annotations

from typing import Any

from django.db.models import Model

from fleet.quantities import CONTEXT, MEASURED, SEEN
from visits.api.told import Told, tell_cautions, tell_judged
from visits.models import Check, Decision, Finding, Recommendation, Visit
from visits.services import recall_visit
from visits.services.rows import NewCheck

FINDING = (
    "id", "subject", "item", "severity", "verdict", "failure_mode", "mechanism", "cause",
    "loss_of_function", "lasting", "call_back", "failed_on", "recheck_on", "note",
)  # fmt: skip
DECISION = ("id", "subject", "answer", "decided_on", "not_before", "decided_by", "note")
PLATE = ("machine_id", "read", "filled", "differs", "refused", "another")
MADE_SAFE = ("told", "lock_holder", "cook_line_stopped", "restarts_when", "promised_on")


def tell_visit(visit: Visit) -> Told:
    """All that hangs on a visit, in a fixed number of queries."""
    recalled = recall_visit(visit)
    fans = dict(visit.site.fans.values_list("pk", "tag"))
    return {
        **tell_line(visit),
        "recorded_by": name_of(visit.recorded_by),
        "corrections": tell_corrections(visit),
        "checks": [_check(each, _fan(each.row, fans), visit.kind) for each in recalled.checks],
        "findings": [_finding(row, fans) for row in visit.findings.prefetch_related("closings")],
        "actions": _rows(visit.actions.all(), fans, "kind", "item", "part", "note"),
        "recommendations": [
            _advice(row, fans) for row in visit.recommendations.prefetch_related("decisions")
        ],
        "decisions": [
            {**_plain(row, *DECISION), "fan": _fan(row, fans)}
            for row in visit.decisions.filter(recommendation=None)
        ],
        "not_reached": _rows(visit.not_reached.all(), fans, "item", "reason", "note"),
        "made_safe": _rows(visit.made_safe.all(), fans, *MADE_SAFE),
        "inspections": [
            {"system": row.system_id, "system_name": row.system.name,
             **_plain(row, "qualified", "areas_not_cleaned")}
            for row in visit.inspections.select_related("system")
        ],
        "plates": _rows(visit.plates.all(), fans, *PLATE),
        "cautions": tell_cautions(recalled.cautions),
    }  # fmt: skip


def tell_line(visit: Visit) -> Told:
    """A visit as listed; its site, technician and correction come with it."""
    after = getattr(visit, "superseded_by", None)
    return {
        **_plain(
            visit, "id", "kind", "began_at", "ended_at", "local_on", "local_minute", "here",
            "notes", "correction_reason", "received_at",
        ),
        "site": {"id": visit.site_id, "name": visit.site.name},
        "technician": name_of(visit.technician) or visit.technician_name,
        "supersedes": visit.supersedes_id,
        "superseded_by": after.pk if after else None,
    }  # fmt: skip


def tell_corrections(visit: Visit) -> list[Told]:
    """The records of this visit from the first to the one that stands, if it was ever corrected."""
    rows = Visit.objects.filter(site=visit.site_id).exclude(supersedes=None)
    newer: dict[Any, Visit] = {
        row.supersedes_id: row for row in rows.select_related("recorded_by").order_by()
    }
    older = {row.pk: before for before, row in newer.items()}
    first = visit.pk
    while first in older:
        first = older[first]
    chain: list[Told] = []
    while first in newer:
        row = newer[first]
        chain.append({
            "id": row.pk, "supersedes": first, "reason": row.correction_reason,
            "recorded_by": name_of(row.recorded_by),
            "received_at": row.received_at,
        })  # fmt: skip
        first = row.pk
    return chain


def _check(check: NewCheck, fan: Told, kind: str) -> Told:
    row = check.row
    return {
        **tell_judged(check, fan, kind),
        "machine": row.machine_id,
        "readings": _readings(row),
        "seen": _given(row, SEEN),
        "context": _given(row, CONTEXT),
        **_plain(row, "lasting", "recheck_days", "switch_left", "notes"),
    }


def _readings(row: Check) -> list[Told]:
    """What was measured: in the registry's unit, null where a meter showed over range, as typed."""
    return [
        {"quantity": each.name, "value": getattr(row, each.name), "unit": each.unit,
         "typed": row.typed.get(each.name)}
        for each in MEASURED
        if each.name in row.typed or getattr(row, each.name) is not None
    ]  # fmt: skip


def _given(row: Check, entries: Any) -> Told:
    told = {each.name: getattr(row, each.name) for each in entries}
    return {name: value for name, value in told.items() if value is not None}


def _finding(row: Finding, fans: dict[int, str]) -> Told:
    closings = [_plain(each, "id", "closed_on", "reason") for each in row.closings.all()]
    return {**_plain(row, *FINDING), "fan": _fan(row, fans), "closings": closings}


def _advice(row: Recommendation, fans: dict[int, str]) -> Told:
    decisions: list[Decision] = list(row.decisions.all())
    return {
        **_plain(row, "id", "subject", "text"),
        "cost": None if row.cost is None else str(row.cost),
        "fan": _fan(row, fans),
        "decisions": [_plain(each, *DECISION) for each in decisions],
    }


def _rows(rows: Any, fans: dict[int, str], *names: str) -> list[Told]:
    return [{**_plain(row, *names), "fan": _fan(row, fans)} for row in rows]


def tell_fan(fan: Any) -> Told:
    """A fan as named everywhere."""
    return {"id": fan.pk, "tag": fan.tag}


def _fan(row: Any, fans: dict[int, str]) -> Told:
    return {"id": row.fan_id, "tag": fans.get(row.fan_id, "")}


def name_of(person: Any) -> str:
    """Somebody's full name, else login; empty for nobody."""
    return person.called if person else ""


def _plain(row: Model, *names: str) -> Told:
    return {name: getattr(row, name) for name in names}
