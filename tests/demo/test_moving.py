"""A record written out and read by an install with the same register says the same of every fan.

Checked against the record it was written from: the outside is the other direction of the format.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, date, datetime
from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command
from django.db import transaction

from schedules.models import DueState
from schedules.services import import_visit_file
from visits.models import (
    Action,
    Check,
    Closing,
    Decision,
    Event,
    Finding,
    MadeSafe,
    NotReached,
    Photo,
    Recommendation,
    SystemInspection,
    Visit,
)

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 6, 15, 17, tzinfo=UTC)
COUNTED = (
    Visit, Check, Finding, Action, Recommendation, Decision, NotReached, MadeSafe,
    SystemInspection, Event, Closing,
)  # fmt: skip
Moved = tuple[dict[str, Any], dict[str, Any], str]


def what_is_told() -> dict[str, Any]:
    """Dates with their numbers by fan, how many rows there are, and what failed why."""
    return {
        "dates": dict(DueState.objects.values_list("fan", "dates")),
        "due": dict(DueState.objects.values_list("fan", "due_on")),
        "rows": Counter({model.__name__: model.objects.count() for model in COUNTED}),
        "losses": sorted(map(str, Finding.objects.losses().values_list("fan", "item", "cause"))),
        "made_by": sorted(Visit.objects.values_list("pk", "technician", "technician_name")),
    }


@pytest.fixture(scope="module")
def moved(
    django_db_setup: None, django_db_blocker: Any, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Moved]:
    """What was told before and after, and the file between."""
    file = tmp_path_factory.mktemp("moved") / "history.jsonl"
    with django_db_blocker.unblock(), transaction.atomic():
        call_command("demo", today=date(2026, 6, 15), fans=60, stdout=StringIO())
        before = what_is_told()
        call_command("export_history", str(file), stdout=StringIO())
        forget_the_record()
        report = import_visit_file(
            data=file.read_bytes(), name=file.name, by=None, now=NOW, here=True, dry_run=False
        )
        assert not report.refused, report.complaints[:5]
        yield before, what_is_told(), file.read_text()
        transaction.set_rollback(True)


def forget_the_record() -> None:
    Photo.objects.all().delete()
    Visit.objects.all().delete()
    Decision.objects.all().delete()
    Event.objects.all().delete()


def test_moved_record_then_every_row_is_there_again(moved: Moved) -> None:
    before, after, _ = moved
    assert after["rows"] == before["rows"]


@pytest.mark.parametrize("what", ["dates", "due", "losses", "made_by"])
def test_moved_record_then_told_the_same(moved: Moved, what: str) -> None:
    before, after, _ = moved
    assert after[what] == before[what]


def test_file_then_one_record_to_a_line(moved: Moved) -> None:
    types = Counter(json.loads(line)["type"] for line in moved[2].splitlines())
    assert set(types) >= {"visit", "event"}


def test_file_then_no_number_of_this_install(moved: Moved) -> None:
    assert "site_id" not in moved[2]
