"""A visit or a file that is sent twice: stored once, whoever comes first."""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any

import pytest
from django.db import connection

from schedules.services import import_visit_file, log_visit
from tests.visits.roofs import NOW, WITHIN, check, correct, log, make_roof, visit
from visits.models import Check, Visit
from visits.payload import PayloadError


def send_at_once(payloads: list[dict[str, Any]]) -> list[str]:
    """What becomes of payloads sent by as many connections in the same moment."""
    start = Barrier(len(payloads))

    def send(payload: dict[str, Any]) -> str:
        start.wait(timeout=30)
        try:
            return f"created {log_visit(payload=payload, by=None, now=NOW).recorded.created}"
        except PayloadError as error:
            return error.complaints[0].problem
        finally:
            connection.close()

    with ThreadPoolExecutor(len(payloads)) as pool:
        return sorted(pool.map(send, payloads))


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_visit_when_sent_by_four_at_once_then_stored_once() -> None:
    make_roof()
    payload = visit(check(seen=WITHIN))
    outcomes = send_at_once([payload] * 4)
    assert (outcomes, Visit.objects.count(), Check.objects.count()) == (
        ["created False"] * 3 + ["created True"], 1, 1,
    )  # fmt: skip


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_visit_when_corrected_by_two_at_once_then_one_is_told_so() -> None:
    make_roof()
    old = str(log(check()).visit.pk)
    reason = {"supersedes": old, "correction_reason": "typed wrong"}
    assert send_at_once([visit(**reason), visit(**reason)]) == [
        "created True", "this visit is already corrected",
    ]  # fmt: skip


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_file_when_imported_by_four_at_once_then_stored_once() -> None:
    make_roof()
    data = "\n".join(json.dumps(visit(check(seen=WITHIN))) for _ in range(5)).encode()
    start = Barrier(4)

    def bring(name: str) -> tuple[int, int, int]:
        start.wait(timeout=30)
        report = import_visit_file(data=data, name=name, by=None, now=NOW)
        connection.close()
        return report.added.get("visit", 0), report.repeated, report.complaint_count

    with ThreadPoolExecutor(4) as pool:
        assert sorted(pool.map(bring, "abcd")) == [(0, 5, 0)] * 3 + [(5, 0, 0)]


@pytest.mark.django_db
def test_visit_when_logged_again_after_its_correction_then_stored_one_comes_back() -> None:
    make_roof()
    payload = visit(check(seen=WITHIN))
    first = log_visit(payload=payload, by=None, now=NOW).recorded
    correct(first)
    assert log_visit(payload=payload, by=None, now=NOW).recorded.created is False
