"""What is due, through the API: in the list's order, with reasons, to whom it concerns."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from fleet.models import Person
from schedules.due.reckoning import reckon_fleet
from schedules.models import DueState
from tests.api.asking import V1, by_key, faults, nobody
from tests.api.logs import VISITS, look, walk
from tests.people import Roofs
from tests.schedules.fans import make_fan
from tests.visits.roofs import NOW

DUE, CHANGES = f"{V1}/due", f"{V1}/changes"
pytestmark = pytest.mark.django_db
PEOPLE = [
    ("dana", {"EF-1", "EF-2", "EF-3"}), ("theo", {"EF-1", "EF-2", "EF-3"}),
    ("olga", {"EF-1", "EF-2"}), ("sam", {"EF-3"}),
]  # fmt: skip


@pytest.fixture
def reckoned(roofs: Roofs) -> Roofs:
    """The roofs with their dates."""
    reckon_fleet(now=NOW)
    return roofs


def tags(answer: Any) -> list[str]:
    return [each["fan"]["tag"] for each in answer.json()["results"]]


@pytest.mark.parametrize(("who", "seen"), PEOPLE)
def test_due_when_listed_or_opened_then_only_what_is_theirs_to_see(
    who: str, seen: set[str], reckoned: Roofs, request: pytest.FixtureRequest
) -> None:
    client = by_key(request.getfixturevalue(who))
    opened = {fan.tag: client.get(f"{DUE}/{fan.pk}").status_code for fan in reckoned.all}
    assert (set(tags(client.get(DUE))), opened) == (
        seen, {fan.tag: 200 if fan.tag in seen else 404 for fan in reckoned.all},
    )  # fmt: skip


@pytest.mark.parametrize("address", [DUE, f"{DUE}/1", f"{CHANGES}?since=2026-01-01T00:00Z"])
def test_dates_when_asked_for_by_nobody_then_401(address: str) -> None:
    assert nobody().get(address).status_code == 401


@pytest.mark.parametrize("name", ["owner", "site"])
def test_due_when_narrowed_to_another_owners_then_as_to_what_is_not(
    name: str, reckoned: Roofs, sam: Person
) -> None:
    site = reckoned.bakery.site
    told = [
        by_key(sam).get(f"{DUE}?{name}={number}").json()
        for number in ({"owner": site.owner_id, "site": site.pk}[name], 999_999)
    ]
    assert told == [{"next": None, "results": []}] * 2


def test_fan_when_it_has_stops_then_each_rule_and_the_stop_is_told(
    reckoned: Roofs, theo: Person
) -> None:
    by_key(theo).post(VISITS, look(reckoned.bakery, seen={"hinge": "broken"}))
    told = by_key(theo).get(f"{DUE}/{reckoned.bakery.pk}").json()
    rules = [each["rule"] for each in told["dates"]]
    assert (told["due_rule"], rules, told["stop"][:41], told["site"]["name"]) == (
        "walk_through", ["walk_through", "code_inspection", "follow_up"],
        "The hinge is broken: do not tip this fan.", "Alder Bakery",
    )  # fmt: skip


@pytest.mark.parametrize("limit", [1, 2])
def test_due_when_paged_then_every_fan_once(limit: int, reckoned: Roofs, dana: Person) -> None:
    by_key(dana).post(VISITS, look(reckoned.canteen, seen={"hinge": "broken"}))
    client, address, found = by_key(dana), f"{DUE}?limit={limit}", []
    while address:
        answer = client.get(address)
        found += tags(answer)
        address = answer.json()["next"]
    # A stop stands first; of the same day the fan entered first.
    assert found == ["EF-2", "EF-1", "EF-3"]


def test_due_when_no_rule_gives_a_day_then_listed_as_undated(roofs: Roofs, dana: Person) -> None:
    client = by_key(dana)
    first = client.get(f"{DUE}?undated=true&limit=2")
    rest = client.get(first.json()["next"])
    assert (tags(client.get(DUE)), tags(first), tags(rest)) == ([], ["EF-1", "EF-2"], ["EF-3"])


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("rule=code_inspection", 3), ("rule=vibration", 0), ("verdict=stop", 1),
        ("verdict=act", 1), ("overdue=true", 3), ("overdue=true&on=2026-01-10", 0),
        ("on=2026-01-10&within=2", 0), ("on=2026-01-10&within=5", 3), ("on=2200-12-31", 3),
    ],
)  # fmt: skip
def test_due_when_filtered_then_what_was_asked_for(
    query: str, found: int, reckoned: Roofs, dana: Person
) -> None:
    by_key(dana).post(VISITS, look(reckoned.canteen, seen={"hinge": "broken"}))
    assert len(tags(by_key(dana).get(f"{DUE}?{query}"))) == found


@pytest.mark.parametrize(
    "query",
    [
        "rule=1", "verdict=within", "within=3661", "within=-1", "on=0001-01-01", "on=9999-12-31",
        "limit=0", "limit=201", "after=7", "after=x.0.2026-01-01.1", "undated=true&after=x",
        "undated=true&after=²", "due=2", "after=week.0.2026-01-01.9223372036854775808",
    ],
)  # fmt: skip
def test_due_when_the_question_makes_no_sense_then_400(
    query: str, reckoned: Roofs, dana: Person
) -> None:
    answer = by_key(dana).get(f"{DUE}?{query}")
    name = query.rpartition("&")[2].partition("=")[0]
    assert (answer.status_code, faults(answer)) == (400, [name])


@pytest.mark.parametrize("number", [0, 999_999, 2**63, 2**70])
def test_fan_when_there_is_none_then_404(number: int, dana: Person) -> None:
    assert by_key(dana).get(f"{DUE}/{number}").status_code == 404


def test_due_when_more_fans_are_listed_then_no_more_statements(
    reckoned: Roofs, dana: Person
) -> None:
    def count() -> int:
        with CaptureQueriesContext(connection) as asked:
            client.get(DUE)
        return len(asked)

    client = by_key(dana)
    for fan in reckoned.all:
        client.post(VISITS, look(fan, seen={"wheel": "dented"}))
    before = count()
    for number in range(4, 9):
        client.post(VISITS, look(make_fan(f"EF-{number}"), seen={"wheel": "dented"}))
    assert count() == before


@pytest.mark.parametrize(("who", "seen"), PEOPLE)
def test_changes_when_dates_moved_then_told_to_whom_they_concern(
    who: str, seen: set[str], reckoned: Roofs, theo: Person, request: pytest.FixtureRequest
) -> None:
    DueState.objects.update(due_on=date(2026, 1, 1), due_rule=2, dates=None)
    for fan in reckoned.all:
        by_key(theo).post(VISITS, walk(fan))
    answer = by_key(request.getfixturevalue(who)).get(f"{CHANGES}?since=2026-01-01T00:00Z")
    assert {each["fan"]["tag"]: (each["before"], each["after"]) for each in
            answer.json()["results"]} == dict.fromkeys(seen, (
        {"due_on": "2026-01-01", "rule": "code_inspection"},
        {"due_on": "2026-01-15", "rule": "code_inspection"},
    ))  # fmt: skip


def test_changes_when_since_later_then_none(reckoned: Roofs, theo: Person) -> None:
    DueState.objects.update(due_on=date(2026, 1, 1), due_rule=2, dates=None)
    by_key(theo).post(VISITS, walk(reckoned.bakery))
    later = (timezone.now() + timedelta(minutes=1)).isoformat()
    assert by_key(theo).get(f"{CHANGES}?since={later}").json()["results"] == []


def test_changes_when_followed_page_by_page_then_each_once_and_an_end(
    reckoned: Roofs, theo: Person
) -> None:
    client, told = by_key(theo), []
    DueState.objects.update(due_on=date(2026, 1, 1), due_rule=2, dates=None)
    for fan in reckoned.all:
        client.post(VISITS, walk(fan))
    page: str | None = f"{CHANGES}?since=2026-01-01T00:00Z&limit=1"
    while page and len(told) <= 3:
        answer = client.get(page).json()
        page = answer["next"]
        told += [each["fan"]["tag"] for each in answer["results"]]
    assert (told, page) == (["EF-1", "EF-2", "EF-3"], None)


@pytest.mark.parametrize("query", ["", "?since=", "?since=yesterday"])
def test_changes_when_since_is_not_said_then_400(query: str, dana: Person) -> None:
    assert faults(by_key(dana).get(f"{CHANGES}{query}")) == ["since"]
