"""A week's rounds through the API: who is told what of which version, and when nothing is sent."""

from __future__ import annotations

from typing import Any

import pytest
from rest_framework.test import APIClient

from fleet.models import Person
from schedules.rounds.services.publishing import publish_week
from tests.api.asking import V1, by_key
from tests.api.served import faults_of, schema
from tests.rounds.weeks import due_fan, left_out, park, plan, quill, stops, who

pytestmark = pytest.mark.django_db
ADDRESS = f"{V1}/weeks/2026-W50/rounds"


@pytest.fixture
def crew(db: None) -> list[Person]:
    """Jo Park and Ada Quill, with rounds of a week that is planned and not published."""
    due_fan(7)
    crew = [park(hours=[[[420, 560]], *[[]] * 6], reserve_minutes=0), quill()]
    for number in (8, 9, 10, 11):
        due_fan(number)
    plan()
    return crew


def asked(person: Person, query: str = "", **headers: str) -> Any:
    return by_key(person).get(f"{ADDRESS}{query}", headers=headers)


def test_week_when_told_to_a_planner_then_all_of_it_as_the_schema_says(
    crew: list[Person], dana: Person
) -> None:
    told = asked(dana, "?version=draft").json()
    assert len([stop for each in told["rounds"] for stop in each["stops"]]) == len(stops())
    assert len(told["left_out"]) > 0
    assert sum(len(each["fans"]) for each in told["left_out"]) == len(left_out())
    assert faults_of(told, schema()["components"]["schemas"]["WeekRoundsTold"]) == []


def test_week_when_told_to_a_technician_then_their_own_rounds_once_published(
    crew: list[Person],
) -> None:
    before = asked(crew[1]).status_code
    publish_week(who(1))
    told = asked(crew[1]).json()
    assert {each["technician"]["id"] for each in told["rounds"]} == {crew[1].pk}
    hidden = (told["left_out"], told["figures"], told["overload"], told["revision"])
    assert (before, hidden) == (404, ([], None, None, None))


@pytest.mark.parametrize(("query", "status"), [
    ("", 404), ("?version=draft", 200), ("?version=1", 404), ("?version=0", 400),
    ("?version=x", 400), ("?versions=1", 400),
])  # fmt: skip
def test_week_when_not_published_then_only_its_draft(
    crew: list[Person], dana: Person, query: str, status: int
) -> None:
    assert asked(dana, query).status_code == status


@pytest.mark.parametrize("person", ["theo", "olga", "sam"])
def test_draft_when_asked_for_by_others_then_404(
    crew: list[Person], person: str, request: pytest.FixtureRequest
) -> None:
    assert asked(request.getfixturevalue(person), "?version=draft").status_code == 404


def test_week_when_nobody_asks_then_401(crew: list[Person]) -> None:
    assert APIClient().get(ADDRESS).status_code == 401


@pytest.mark.parametrize("week", ["2026-W54", "2027-W01", "x", "2026"])
def test_week_when_there_is_none_then_404(dana: Person, week: str) -> None:
    assert by_key(dana).get(f"{V1}/weeks/{week}/rounds").status_code == 404


def test_week_when_nothing_changed_then_not_sent_again(crew: list[Person], dana: Person) -> None:
    publish_week(who(1))
    tag = asked(dana)["ETag"]
    assert asked(dana, **{"If-None-Match": tag}).status_code == 304
    plan(fresh=True)
    publish_week(who(3))
    assert asked(dana, **{"If-None-Match": tag}).status_code == 200
