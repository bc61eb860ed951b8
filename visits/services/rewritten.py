"""A visit on record, written as it may be sent: for whoever puts something of it right."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from config.questions import Part, Question, Row
from fleet.quantities import CONTEXT, MEASURED, SEEN
from visits.models import (
    Action,
    Check,
    Decision,
    Finding,
    MadeSafe,
    NotReached,
    PlateReading,
    Recommendation,
    SystemInspection,
    Visit,
)
from visits.payload.visit import SEVERITY_VERDICT, item_of

Payload = dict[str, Any]
CHECK_COLUMNS = (
    "visit_id", "fan__tag", "stage", "typed", "lasting", "recheck_days", "switch_left", "notes",
    *(each.name for each in MEASURED), *(each.name for each in SEEN),
    *(each.name for each in CONTEXT),
)  # fmt: skip
FINDING = (
    "id", "subject", "item", "severity", "verdict", "failure_mode", "mechanism", "cause",
    "loss_of_function", "lasting", "failed_on", "recheck_on", "note",
)  # fmt: skip
DECISION = ("answer", "not_before", "decided_by", "note")
MADE_SAFE = ("told", "lock_holder", "cook_line_stopped", "restarts_when", "promised_on")


def _of_fans(model: Any, *columns: str) -> Part:
    """Rows of these visits in the order in which they were told."""
    return lambda given: (
        model.objects.filter(visit__among=given["visits"])
        .order_by("id")
        .values("id", "visit_id", "fan__tag", *columns)
    )


PARTS = Question(
    ["visits"],
    checks=lambda given: (
        Check.objects.filter(visit__among=given["visits"])
        .order_by("id")
        .values("id", *CHECK_COLUMNS)
    ),
    findings=_of_fans(Finding, *FINDING[1:]),
    actions=_of_fans(Action, "kind", "item", "part", "note"),
    recommendations=_of_fans(Recommendation, "subject", "text", "cost"),
    decisions=_of_fans(Decision, "recommendation_id", "subject", "decided_on", *DECISION),
    not_reached=_of_fans(NotReached, "item", "reason", "note"),
    made_safe=_of_fans(MadeSafe, *MADE_SAFE),
    plates=_of_fans(PlateReading, "read"),
    inspections=lambda given: (
        SystemInspection.objects.filter(visit__among=given["visits"])
        .order_by("id")
        .values("id", "visit_id", "system__name", "areas_not_cleaned")
    ),
)


def rewrite_visits(visits: Iterable[Visit]) -> dict[UUID, Payload]:
    """Each visit's payload as ``visits.payload`` documents it, in one statement.

    It names no technician, for a correction keeps that of the visit it replaces, and no nameplate
    of a machine that was replaced, which the register has.  Sites come with the visits.
    """
    known = list(visits)
    if not known:
        return {}
    found = PARTS.ask(visits=[visit.pk for visit in known])
    return {visit.pk: _payload(visit, _of(found, visit.pk)) for visit in known}


def _of(found: Mapping[str, Iterable[Row]], visit_id: UUID) -> dict[str, list[Row]]:
    return {
        name: [row for row in rows if row["visit_id"] == visit_id] for name, rows in found.items()
    }


def _payload(visit: Visit, rows: Mapping[str, list[Row]]) -> Payload:
    own = {row["id"] for row in rows["recommendations"]}
    answers = {row["recommendation_id"]: row for row in rows["decisions"]}
    return what_says({
        "type": "visit", "id": str(visit.pk), "site_id": visit.site_id, "kind": visit.kind,
        "began_at": _moment(visit, visit.began_at),
        "ended_at": _moment(visit, visit.ended_at) if visit.ended_at else "",
        "notes": visit.notes,
        "checks": [_check(row) for row in rows["checks"]],
        "findings": [_finding(row) for row in rows["findings"]],
        "actions": [_plain(row, "kind", "item", "part", "note") for row in rows["actions"]],
        "recommendations": [
            _advice(row, answers.get(row["id"])) for row in rows["recommendations"]
        ],
        "decisions": [
            _decision(row) for row in rows["decisions"] if row["recommendation_id"] not in own
        ],
        "not_reached": [_plain(row, "item", "reason", "note") for row in rows["not_reached"]],
        "made_safe": [_plain(row, *MADE_SAFE) for row in rows["made_safe"]],
        "plates": [{"fan": row["fan__tag"], "machine": row["read"]} for row in rows["plates"]],
        "inspections": [
            what_says({
                "system": row["system__name"], "areas_not_cleaned": row["areas_not_cleaned"],
            })
            for row in rows["inspections"]
        ],
    })  # fmt: skip


def _moment(visit: Visit, at: datetime) -> str:
    """By the site's clock with its offset; the day alone where the time is not known."""
    if visit.local_minute is None:
        return visit.local_on.isoformat()
    return at.astimezone(visit.site.zone).isoformat(timespec="seconds")


def _check(row: Row) -> Payload:
    return what_says({
        "fan": row["fan__tag"], "stage": row["stage"],
        "readings": dict(_readings(row)),
        "seen": {each.name: row[each.name] for each in SEEN if row[each.name]},
        "context": {each.name: row[each.name] for each in CONTEXT if row[each.name] is not None},
        "lasting": row["lasting"], "recheck": row["recheck_days"],
        "switch_left": row["switch_left"], "notes": row["notes"],
    })  # fmt: skip


def _readings(row: Row) -> Iterator[tuple[str, Payload]]:
    """As typed; in the registry's unit where nothing tells how it was typed."""
    for each in MEASURED:
        if typed := row["typed"].get(each.name):
            yield each.name, typed
        elif row[each.name] is not None:
            yield each.name, {"value": row[each.name], "unit": each.unit}


def _finding(row: Row) -> Payload:
    """Verdict and item only where they do not follow from severity and subject."""
    told = _plain(row, *FINDING)
    if row["verdict"] == SEVERITY_VERDICT.get(row["severity"]):
        told.pop("verdict")
    if row["subject"] and row["item"] == item_of(row["subject"]):
        told.pop("item")
    return told


def _advice(row: Row, answer: Row | None) -> Payload:
    told = _plain(row, "id", "subject", "text")
    if row["cost"] is not None:
        told["cost"] = str(row["cost"])
    return told | ({"decision": _answer(answer)} if answer else {})


def _decision(row: Row) -> Payload:
    """The answer to advice of an earlier visit, or on a subject."""
    if row["recommendation_id"]:
        return {"recommendation": str(row["recommendation_id"]), **_answer(row)}
    return {"fan": row["fan__tag"], "subject": row["subject"], **_answer(row)}


def _answer(row: Row) -> Payload:
    told = what_says({name: _text(row[name]) for name in DECISION})
    return {"on": row["decided_on"].isoformat(), **told}


def _plain(row: Row, *names: str) -> Payload:
    return {"fan": row["fan__tag"], **what_says({name: _text(row[name]) for name in names})}


def _text(value: Any) -> Any:
    """Days and ids as text."""
    return value if value is None or isinstance(value, (bool, str)) else str(value)


def what_says(values: Payload) -> Payload:
    """What says anything; a no that was said stays one."""
    return {name: value for name, value in values.items() if value not in (None, "", [], {})}
