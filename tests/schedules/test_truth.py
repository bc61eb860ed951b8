"""What a fan has on record, read in one statement: the same as table by table."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from schedules.bench.filling import fill_sample
from schedules.due.truth import Truth, read_truth, read_truth_one_by_one
from schedules.services import log_visit
from tests.visits.roofs import NOW, WITHIN, check, make_roof, visit

pytestmark = pytest.mark.django_db


def test_truth_when_read_in_one_statement_then_as_table_by_table() -> None:
    fan_ids = fill_sample(40)
    assert read_truth(fan_ids) == read_truth_one_by_one(fan_ids)


def test_truth_of_nobody_then_empty() -> None:
    assert read_truth([]).fans == []


@pytest.mark.parametrize("readings", [{}, {f"volts_{line}_v": 230 for line in ("ab", "bc", "ca")}])
def test_visit_when_logged_then_eight_statements_whatever_it_reads(
    readings: dict[str, float],
) -> None:
    make_roof()
    for day in ("01", "02"):
        payload = visit(check(seen=WITHIN, readings=readings), on=f"2026-03-{day}T09:10")
        with CaptureQueriesContext(connection) as asked:
            log_visit(payload=payload, by=None, now=NOW)
    told = [each["sql"] for each in asked.captured_queries]
    # The test's own transaction makes ours a savepoint.
    assert len([sql for sql in told if "SAVEPOINT" not in sql]) <= 8


def told_by_visits(truth: Truth) -> dict[str, Any]:
    """What hangs on visits, each value with its type, without keys that the database gives."""
    return {
        name: {key: [_typed(row) for row in rows] for key, rows in vars(truth)[name].items()}
        for name in ("checks", "actions", "findings", "made_safe", "inspections")
    }


def _typed(row: dict[str, Any]) -> dict[str, tuple[type, Any]]:
    return {name: (type(value), value) for name, value in row.items() if name != "id"}


FULL = {
    "fan": "EF-1", "seen": {**WITHIN, "hinge": "loose", "vibration_felt": "slight"},
    "lasting": ["hinge"], "recheck": {"hinge": "2026-08-01", "guard": "2026-07-01"},
    "readings": {
        "volts_ab": 200, "volts_bc": "199.5 V", "hour_meter": 4210, "insulation": "OL",
        "vibration_motor_radial": "<0.05 in/s", "grease_duct": {"low": 300, "high": 400},
    },
    "context": {"vibration_detector": "rms"},
}  # fmt: skip
RICH = {
    "findings": [
        {"fan": "EF-2", "item": "conduit", "severity": "critical", "recheck_on": "2026-07-09"},
        {"fan": "EF-1", "item": "wheel", "severity": "degraded", "failed_on": "2026-03-01"},
    ],
    "actions": [{"fan": "EF-1", "kind": "repaired", "item": "wheel"}],
    "recommendations": [{"fan": "EF-1", "subject": "hinge", "text": "a new one", "cost": 80}],
    "not_reached": [{"fan": "EF-2", "reason": "weather"}],
    "made_safe": [{"fan": "EF-2", "told": "the chef", "promised_on": "2026-07-20"}],
    "inspections": [{}],
}  # fmt: skip


@pytest.mark.parametrize("on", ["2026-03-02T09:10", "2026-03-02", "2026-02-01T09:10"])
@pytest.mark.parametrize("parts", [{}, RICH])
def test_visit_when_logged_then_its_dates_rest_on_what_is_read_afterwards(
    parts: dict[str, Any], on: str
) -> None:
    make_roof()
    log_visit(payload=visit(FULL, check("EF-2"), on="2026-03-02T09:10", **parts), by=None, now=NOW)
    left = {**FULL, "stage": "as_left"}
    logged = log_visit(payload=visit(FULL, left, on=on, **parts), by=None, now=NOW)
    assert logged.truth
    assert told_by_visits(logged.truth) == told_by_visits(read_truth(logged.recorded.fan_ids))
