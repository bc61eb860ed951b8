"""Failures logged by the API: hedged causes with looks, terms offered, others kept."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.db import connection
from rest_framework.test import APIClient

from fleet.failure_terms import CAUSE_GROUPS, CAUSES, FAILURE_MODES, LISTED, MECHANISMS
from fleet.models import Fan, Person
from schedules.engine.watching import LONGEST_SILENCE_DAYS
from tests.api.asking import V1, by_key
from tests.api.logs import VISITS, look, walk
from tests.api.test_log_statements import MOST, told
from tests.people import Roofs
from tests.visits.roofs import NOW
from visits.models import Finding
from visits.services.imports import import_visits, read_visits
from visits.services.long_ago import LONG_AGO
from visits.wording import CAUSES as CAUSE_WORDS
from visits.wording import FAILURE_MODES as MODE_WORDS
from visits.wording import MECHANISMS as MECHANISM_WORDS

pytestmark = pytest.mark.django_db
LOST = {"item": "motor", "severity": "critical", "loss_of_function": True}


def failing(fan: Fan, on: str = "2026-05-20T09:10", **finding: Any) -> dict[str, Any]:
    """A service call that logs a loss of function."""
    findings = [{"fan": fan.tag, **LOST, **finding}]
    return walk(fan, on, kind="service_call", checks=[], findings=findings)


@pytest.fixture
def phone(roofs: Roofs, theo: Person) -> APIClient:
    """Theo's, after a first visit that saw the motor's vents plugged."""
    phone = by_key(theo)
    phone.post(VISITS, look(roofs.bakery, seen={"motor_vents": "plugged"}))
    return phone


def test_visit_when_it_logs_a_loss_then_answered_with_causes_and_looks(
    roofs: Roofs, phone: APIClient
) -> None:
    [failure] = phone.post(VISITS, failing(roofs.bakery)).json()["failures"]
    assert failure["determined"] is False
    assert "is not determined" in failure["sentence"]
    assert (failure["causes"][0]["cause"], len(failure["next_looks"])) == ("vents_plugged", 3)
    assert failure == phone.get(f"{V1}/fans/{roofs.bakery.pk}/failures").json()["results"][0]


def test_visit_when_it_names_the_cause_then_it_is_determined_by_that(
    roofs: Roofs, phone: APIClient
) -> None:
    [failure] = phone.post(VISITS, failing(roofs.bakery, cause="surge")).json()["failures"]
    assert (failure["determined"], failure["cause"]) == (True, "surge")
    assert "surge" in failure["sentence"]
    assert (failure["causes"], failure["next_looks"]) == ([], [])


def test_visit_when_nothing_failed_then_no_failures(roofs: Roofs, phone: APIClient) -> None:
    assert phone.post(VISITS, walk(roofs.bakery)).json()["failures"] == []


def test_visit_when_it_logs_losses_then_one_statement_more_and_at_most_eight(
    roofs: Roofs, phone: APIClient
) -> None:
    plain = told(phone, failing(roofs.bakery, "2026-05-19T09:10", loss_of_function=False))[1]
    lost = told(phone, failing(roofs.bakery, "2026-05-21T09:10"))[1]
    assert (lost - plain, lost <= MOST[connection.vendor]) == (1, True)


def test_looks_when_somebody_else_was_there_or_is_not_qualified_then_none_is_live(
    roofs: Roofs, theo: Person, phone: APIClient
) -> None:
    """Whoever logs for others is not the one who would measure."""
    theo.qualified_energised_work = True
    theo.save()
    asked = {"item": "overload", "subject": "overload"}
    live = []
    for on, who in (("2026-05-20T09:10", "theo"), ("2026-05-21T09:10", "Jo Park")):
        sent = failing(roofs.bakery, on, **asked) | {"technician": who}
        [failure] = phone.post(VISITS, sent).json()["failures"]
        live.append(any(each["live"] for each in failure["next_looks"]))
    assert live == [True, False]


def test_terms_when_asked_then_all_that_is_counted_in_words(phone: APIClient) -> None:
    terms = phone.get(f"{V1}/failure-terms").json()
    assert {each["code"] for each in terms["failure_modes"]} == LISTED["failure_mode"]
    assert {each["code"] for each in terms["mechanisms"]} == LISTED["mechanism"]
    assert {each["code"] for each in terms["causes"]} == LISTED["cause"]
    assert {each["group"] for each in terms["causes"]} == {*CAUSE_GROUPS, ""}


def test_terms_when_listed_then_each_has_words() -> None:
    assert set(FAILURE_MODES) == set(MODE_WORDS)
    assert set(MECHANISMS) == set(MECHANISM_WORDS)
    assert {*CAUSES, "other"} == set(CAUSE_WORDS)


@pytest.mark.parametrize(
    ("term", "is_told"),
    [
        ({"cause": "gremlins"}, True), ({"mechanism": "bad luck"}, True),
        ({"failure_mode": "XYZ"}, True), ({"cause": "Loose connection"}, False),
        ({"failure_mode": "fts", "mechanism": "wear", "cause": "other"}, False), ({}, False),
    ],
)  # fmt: skip
def test_term_when_on_no_list_then_kept_with_a_caution(
    term: dict[str, str], is_told: bool, roofs: Roofs, phone: APIClient
) -> None:
    payload = failing(roofs.bakery, **term)
    for _ in ("first", "sent again"):
        codes = [each["code"] for each in phone.post(VISITS, payload).json()["cautions"]]
        assert ("failure_terms_unlisted" in codes) == is_told
    stored = Finding.objects.values(*LISTED).get()
    for name, text in term.items():
        assert stored[name] == (text.upper() if name == "failure_mode" else text)


def test_term_when_on_no_list_then_its_caution_names_field_and_value(
    roofs: Roofs, phone: APIClient
) -> None:
    payload = failing(roofs.bakery, cause="gremlins", mechanism="bad luck")
    for _ in ("first", "sent again"):
        (told,) = phone.post(VISITS, payload).json()["cautions"]
        assert told["sentence"].endswith("Sent: mechanism “bad luck”, cause “gremlins”.")


def test_failure_when_its_day_is_doubtful_then_first_and_again_the_day_is_told(
    roofs: Roofs, phone: APIClient
) -> None:
    payload = failing(roofs.bakery, "2026-05-20T09:10", failed_on="2001-05-19")
    for _ in ("first", "sent again"):
        (told,) = phone.post(VISITS, payload).json()["cautions"]
        assert told["sentence"].endswith("Sent: failed on “2001-05-19”.")


@pytest.mark.parametrize(("on", "is_asked"), [("2001-05-20", True), ("2024-05-20", False)])
def test_visit_when_its_year_is_long_ago_then_asked_about(
    on: str, is_asked: bool, roofs: Roofs, phone: APIClient
) -> None:
    told = phone.post(VISITS, failing(roofs.bakery, f"{on}T09:10")).json()["cautions"]
    assert any(f"began “{on}”" in each["sentence"] for each in told) == is_asked


@pytest.mark.parametrize(
    ("day", "is_told"),
    [("2001-05-19", True), ("2026-05-22", True), ("2026-05-18", False), ("2025-06-01", False)],
)
def test_failure_when_its_day_can_hardly_be_then_kept_with_a_caution(
    day: str, is_told: bool, roofs: Roofs, phone: APIClient
) -> None:
    """A year typed wrong would pass for years in which nothing else failed."""
    answer = phone.post(VISITS, failing(roofs.bakery, "2026-05-20T09:10", failed_on=day)).json()
    codes = [each["code"] for each in answer["cautions"]]
    assert ("failure_day_doubtful" in codes) == is_told


def test_file_when_terms_are_on_no_list_then_noted_once_each(roofs: Roofs) -> None:
    lines = "\n".join(
        json.dumps(failing(roofs.bakery, f"2026-05-{day}T09:10", cause="gremlins"))
        for day in (20, 21)
    )
    report = import_visits(
        file=read_visits(lines.encode()), name="old.jsonl", by=None, now=NOW, dry_run=True
    )
    assert [note for note in report.notes if "gremlins" in note] == [
        "cause 'gremlins' (2 times) is none of those offered; it is kept as written and counted "
        "with nothing"
    ]


def test_file_when_a_visit_is_long_before_the_others_then_its_year_is_asked_about(
    roofs: Roofs,
) -> None:
    days = ("2001-05-20", "2025-05-21", "2026-05-21")
    lines = "\n".join(json.dumps(failing(roofs.bakery, f"{day}T09:10")) for day in days)
    report = import_visits(
        file=read_visits(lines.encode()), name="old.jsonl", by=None, now=NOW, dry_run=True
    )
    (note,) = report.notes
    assert note.startswith("line 1: this visit is dated 2001-05-20, 24 years before the next")


def test_silence_then_as_long_for_a_visit_asked_about_as_for_a_watch() -> None:
    assert LONG_AGO.days == LONGEST_SILENCE_DAYS
