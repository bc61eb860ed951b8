"""What keeps failing through the API: as far as each may see, closed by those who plan."""

from __future__ import annotations

import pytest

from fleet.models import Person
from schedules.models import Pattern
from tests.api.asking import V1, by_key, faults
from tests.patterns.failing import failed, pattern_of
from tests.people import Roofs

pytestmark = pytest.mark.django_db
CAUSE = {"failures": 2, "cause": "screws loosened by vibration", "reason": "told by phone"}


@pytest.fixture
def three(roofs: Roofs) -> list[Pattern]:
    """A switch and a belt of Olga's, the belt closed; a motor of Sam's."""
    return [
        pattern_of(roofs.bakery),
        pattern_of(roofs.canteen, item="belt", state="closed", last_on="2026-05-03"),
        pattern_of(roofs.diner, item="motor", last_on="2026-05-02"),
    ]


@pytest.mark.parametrize(
    ("who", "asked", "found"),
    [
        ("mara", "", [1, 2, 0]),
        ("theo", "?state=open", [2, 0]),
        ("dana", "?item=belt", [1]),
        ("olga", "", [1, 0]),
        ("sam", "", [2]),
        ("sam", "?state=closed", []),
    ],
)
def test_patterns_when_listed_then_newest_failure_first_of_those_one_may_see(
    three: list[Pattern], who: str, asked: str, found: list[int], request: pytest.FixtureRequest
) -> None:
    answer = by_key(request.getfixturevalue(who)).get(f"{V1}/patterns{asked}")
    told = [each["id"] for each in answer.json()["results"]]
    assert told == [three[at].pk for at in found]


def test_pages_then_each_pattern_once(three: list[Pattern], dana: Person) -> None:
    client, told = by_key(dana), []
    address = f"{V1}/patterns?limit=1"
    while address:
        page = client.get(address).json()
        told += [each["id"] for each in page["results"]]
        address = page["next"]
    assert told == [three[at].pk for at in (1, 2, 0)]


def test_pattern_then_with_its_failures(roofs: Roofs, olga: Person) -> None:
    row = pattern_of(roofs.bakery)
    for on in ("2025-09-01", "2026-05-01"):
        failed(roofs.bakery, on)
    told = by_key(olga).get(f"{V1}/patterns/{row.pk}").json()
    assert [(each["found_on"], each["replaced_without_cause"]) for each in told["evidence"]] == [
        ("2025-09-01", True),
        ("2026-05-01", True),
    ]


def test_closing_then_told_by_whom_but_not_to_owners(
    three: list[Pattern], mara: Person, olga: Person
) -> None:
    address = f"{V1}/patterns/{three[0].pk}"
    answer = by_key(mara).post(f"{address}/closing", CAUSE, format="json").json()
    owners = by_key(olga).get(address).json()
    seen, told = owners["closings"][0], answer["closings"][0]
    assert (answer["state"], told["cause"], told["closed_by"]["id"]) == (
        "closed", CAUSE["cause"], mara.pk,
    )  # fmt: skip
    assert (seen["cause"], seen["reason"], seen["closed_by"]) == (CAUSE["cause"], "", None)
    assert (answer["figures"] is None, told["reason"]) == (False, CAUSE["reason"])
    listed = by_key(olga).get(f"{V1}/patterns").json()["results"]
    assert [each["figures"] for each in (owners, *listed)] == [None] * 3


@pytest.mark.parametrize(
    ("body", "status", "where"),
    [
        ({"failures": 2}, 400, ["#/cause"]),
        ({"failures": 3, "reason": "moved"}, 409, []),
        ({"failures": 2, "reason": "x" * 251}, 400, ["#/reason"]),
        ({"reason": "moved"}, 400, ["#/failures"]),
    ],
)
def test_closing_that_cannot_be_then_why(
    three: list[Pattern], dana: Person, body: dict[str, object], status: int, where: list[str]
) -> None:
    address = f"{V1}/patterns/{three[0].pk}/closing"
    answer = by_key(dana).post(address, body, format="json")
    assert (answer.status_code, faults(answer)) == (status, where)
