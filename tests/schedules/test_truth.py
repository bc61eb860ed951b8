"""What a fan has on record, read in one statement: the same as table by table."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from schedules.bench.filling import fill_sample
from schedules.due.truth import read_truth, read_truth_one_by_one
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
