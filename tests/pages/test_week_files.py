"""A week's files: for whom, of which version, under which name."""

from __future__ import annotations

import pytest
from django.test import Client
from django.utils import timezone

from fleet.models import Fan, Person
from schedules.rounds.services.publishing import publish_week
from tests.bookings.booked import NOW
from tests.people import signed_in
from tests.rounds.weeks import due_fan, park, plan, who

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
@pytest.mark.parametrize(("asked", "version"), [("", "draft"), ("?version=1", "version-1")])
def test_file_when_opened_then_of_the_version_that_the_page_shows(
    dana: Person, kind: str, type_: str, begins: bytes, asked: str, version: str
) -> None:
    answer = signed_in(dana).get(f"/week/2026-W50/rounds.{kind}{asked}")
    name = f'attachment; filename="rounds-2026-w50-{version}.{kind}"'
    assert (answer["Content-Type"], answer["Content-Disposition"]) == (type_, name)
    assert answer.content.startswith(begins)


@pytest.mark.parametrize("address", ["2026-W54/rounds.csv", "2027-W01/rounds.csv",
                                     "2026-W50/rounds.csv?version=7"])  # fmt: skip
def test_file_when_there_is_no_such_week_or_version_then_404(dana: Person, address: str) -> None:
    assert signed_in(dana).get(f"/week/{address}").status_code == 404


@pytest.mark.parametrize(("page", "link"), [
    ("/week/2026-W50/", 'href="/week/2026-W50/rounds.csv"'),
    ("/week/2026-W50/?version=1", 'href="/week/2026-W50/rounds.geojson?version=1"'),
])  # fmt: skip
def test_page_then_leads_to_the_files_of_its_version(dana: Person, page: str, link: str) -> None:
    assert link in signed_in(dana).get(page).content.decode()
