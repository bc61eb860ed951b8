"""A week's files: for whom, of which version, under which name."""

from __future__ import annotations

import re

import pytest
from django.test import Client
from django.utils import timezone

from fleet.models import Fan, Person
from schedules.rounds.services.editing import take_out_stop
from schedules.rounds.services.publishing import publish_week
from tests.bookings.booked import NOW
from tests.people import signed_in
from tests.rounds.weeks import due_fan, park, plan, stops, who

pytestmark = pytest.mark.django_db
FILES = [
    ("csv", "text/csv; charset=utf-8", b"\xef\xbb\xbfWeek,"),
    ("geojson", "application/geo+json", b'{"type": "FeatureCollection"'),
]


@pytest.fixture(autouse=True)
def planned(db: None, monkeypatch: pytest.MonkeyPatch) -> Fan:
    """It is NOW, and the next week is planned and published once."""
    monkeypatch.setattr(timezone, "now", lambda: NOW)
    fan = due_fan(7)
    park()
    plan()
    publish_week(who(1))
    return fan


@pytest.mark.parametrize(("person", "status"), [
    ("mara", 200), ("dana", 200), ("theo", 404), ("olga", 404), ("sam", 404),
])  # fmt: skip
@pytest.mark.parametrize("kind", ["csv", "geojson"])
def test_file_when_asked_for_then_only_for_those_who_plan(
    person: str, status: int, kind: str, request: pytest.FixtureRequest
) -> None:
    browser = signed_in(request.getfixturevalue(person))
    assert browser.get(f"/week/2026-W50/rounds.{kind}").status_code == status


@pytest.mark.parametrize("kind", ["csv", "geojson"])
def test_file_when_nobody_is_signed_in_then_asked_to(kind: str) -> None:
    assert Client().get(f"/week/2026-W50/rounds.{kind}").status_code == 302


@pytest.mark.parametrize(("kind", "type_", "begins"), FILES)
@pytest.mark.parametrize(("asked", "changed", "version"), [
    # as published it has that number, which is what technicians go by
    ("", False, "version-1"), ("", True, "draft"), ("?version=1", True, "version-1"),
])  # fmt: skip
def test_file_when_opened_then_named_by_the_version_that_it_is_of(
    dana: Person, kind: str, type_: str, begins: bytes, asked: str, changed: bool, version: str
) -> None:
    if changed:
        take_out_stop(who(2), stop=stops()[0].key)
    answer = signed_in(dana).get(f"/week/2026-W50/rounds.{kind}{asked}")
    name = f'attachment; filename="rounds-2026-w50-{version}.{kind}"'
    assert (answer["Content-Type"], answer["Content-Disposition"]) == (type_, name)
    assert answer.content.startswith(begins)


@pytest.mark.parametrize("address", ["2026-W54/rounds.csv", "2027-W01/rounds.csv",
                                     "2026-W50/rounds.csv?version=7"])  # fmt: skip
def test_file_when_there_is_no_such_week_or_version_then_404(dana: Person, address: str) -> None:
    assert signed_in(dana).get(f"/week/{address}").status_code == 404


@pytest.mark.parametrize(("asked", "changed", "versions"), [
    ("", False, ["?version=1"]), ("", True, ["", "?version=1"]),
    ("?version=1", True, ["?version=1"]),
])  # fmt: skip
def test_page_then_leads_to_the_files_of_what_it_shows_and_of_what_technicians_go_by(
    dana: Person, asked: str, changed: bool, versions: list[str]
) -> None:
    if changed:
        take_out_stop(who(2), stop=stops()[0].key)
    told = signed_in(dana).get(f"/week/2026-W50/{asked}").content.decode()
    links = re.findall(r'href="/week/2026-W50/rounds\.(csv|geojson)([^"]*)"', told)
    assert links == [(kind, query) for query in versions for kind in ("csv", "geojson")]
