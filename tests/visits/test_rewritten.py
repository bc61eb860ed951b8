"""A visit on record, written as it may be sent: its correction by that payload changes nothing."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.visits.roofs import NOW, check, log, make_roof, visit
from visits.models import Check, Decision, Finding, Visit
from visits.services import record_visit
from visits.services.rewritten import rewrite_visits

pytestmark = pytest.mark.django_db
FOUND = check(
    seen={"hinge": "loose", "running": "runs"}, readings={"volts_ab": "205 V", "speed_rpm": 880},
    context={"amps_place": "line"}, lasting=["hinge"], recheck={"volts": "2026-03-20"}, notes="Wet",
)  # fmt: skip
LEFT = check(stage="as_left", seen={"running": "off_by_request"}, switch_left="off")
PARTS: dict[str, Any] = {
    "ended_at": "2026-03-02T10:00", "notes": "Two of us.",
    "findings": [
        {"fan": "EF-1", "item": "belt", "severity": "critical", "verdict": "act", "note": "Thin",
         "loss_of_function": True, "failed_on": "2026-03-01", "recheck_on": "2026-03-09"},
        {"fan": "EF-1", "subject": "hinge", "severity": "incipient", "lasting": True},
    ],
    "actions": [{"fan": "EF-1", "kind": "replaced", "item": "belt", "part": "B-52"}],
    "recommendations": [
        {"id": str(uuid4()), "fan": "EF-1", "subject": "hinge", "text": "New pins.", "cost": 120,
         "decision": {"answer": "not_now", "on": "2026-03-02", "decided_by": "Ada",
                      "not_before": "2026-05-01"}},
    ],
    "decisions": [{"fan": "EF-1", "subject": "curb", "answer": "declined", "on": "2026-03-02"}],
    "not_reached": [{"fan": "EF-2", "reason": "weather", "note": "Hail"}],
    "made_safe": [{"fan": "EF-1", "told": "Ada", "cook_line_stopped": False}],
    "inspections": [{"system": "Main line", "areas_not_cleaned": "duct"}],
    "plates": [{"fan": "EF-1", "machine": {"frame": "56", "service_factor": 1.15,
                                           "unreadable": ["serial"]}}],
}  # fmt: skip

PART_NAMES = (
    "checks", "findings", "actions", "recommendations", "decisions", "not_reached", "made_safe",
    "inspections", "plates",
)  # fmt: skip


@pytest.fixture(autouse=True)
def roof() -> None:
    """Every test has its roof."""
    make_roof()


def payload_of(row: Visit) -> dict[str, Any]:
    return rewrite_visits([Visit.objects.select_related("site").get(pk=row.pk)])[row.pk]


def content_of(row: Visit) -> list[Any]:
    """All columns of the visit's rows but those that tell them apart."""
    apart = {"id", "visit_id", "recommendation_id", "received_at"}
    rows = [each for name in PART_NAMES for each in getattr(row, name).all()]
    told = [{k: v for k, v in vars(each).items() if k not in apart | {"_state"}} for each in rows]
    own = (row.kind, row.began_at, row.ended_at, row.local_minute, row.notes, row.technician_id)
    return [own, *sorted(map(str, told))]


@pytest.mark.parametrize("on", ["2026-03-02T09:10", "2026-03-02"])
def test_payload_when_sent_as_a_correction_then_the_record_says_the_same(on: str) -> None:
    parts = PARTS if "T" in on else PARTS | {"ended_at": None}
    old = log(FOUND, LEFT, on=on, kind="code_inspection", **parts).visit
    again = payload_of(old) | {
        "id": str(uuid4()), "supersedes": str(old.pk), "correction_reason": "Looked again",
    }  # fmt: skip
    new = record_visit(payload=again, by=None, now=NOW).visit
    assert list(Visit.objects.standing()) == [new]
    old, new = Visit.objects.get(pk=old.pk), Visit.objects.get(pk=new.pk)
    assert content_of(new) == content_of(old)
    assert (Check.objects.count(), Finding.objects.count(), Decision.objects.count()) == (4, 4, 4)


def test_payload_when_it_answers_earlier_advice_then_names_that_advice() -> None:
    advice = PARTS["recommendations"][0]
    log(recommendations=[{**advice, "decision": None}])
    answer = {"recommendation": advice["id"], "answer": "go_ahead", "on": "2026-03-09"}
    later = log(on="2026-03-09T08:00", decisions=[answer]).visit
    assert payload_of(later)["decisions"] == [answer]


def test_payloads_when_of_many_visits_then_asked_in_one_statement() -> None:
    for place in range(3):
        record_visit(payload=visit(FOUND, on=f"2026-03-0{place + 1}T08:00"), by=None, now=NOW)
    rows = list(Visit.objects.select_related("site"))
    with CaptureQueriesContext(connection) as asked:
        told = rewrite_visits(rows)
    assert (len(told), len(asked)) == (3, 1)


def test_parts_when_a_visit_gets_another_then_it_is_written_too() -> None:
    told = {
        each.name
        for each in Visit._meta.related_objects
        if each.related_model._meta.app_label == "visits"
    }
    assert told == {*PART_NAMES, "photos", "superseded_by"}  # these follow no payload
