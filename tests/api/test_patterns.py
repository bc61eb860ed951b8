"""What keeps failing through the API: as far as each may see, closed by those who plan."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.utils import timezone

from fleet.models import Person
from schedules.models import FailureTally, Pattern
from schedules.patterns.finding import find_patterns
from tests.api.asking import V1, by_key, faults
from tests.patterns.failing import NOW, failed, pattern_of, tipped
from tests.people import Roofs
from tests.schedules.fans import walk

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


def count(site: Any = None, **facts: Any) -> FailureTally:
    """A row as the turn of the timetable writes it."""
    figures = {"years": 4.0, "compared": 3, "others": 1, "others_years": 60.0, "ratio": 45.0}
    return FailureTally.objects.create(site=site, **{
        "by": "site" if site else "item", "item": "switch", "failures": 3, "positions": 2,
        "last_on": "2026-05-01", "stands_out": False, "as_of": "2026-05-02", "figures": figures,
        **facts,
    })  # fmt: skip


@pytest.fixture
def counts(roofs: Roofs) -> list[FailureTally]:
    """One of the fleet, one of a model, two of sites of Olga's and one of Sam's."""
    return [
        count(failures=9),
        count(by="model", model="HX 24", stands_out=True),
        count(roofs.bakery.site),
        count(roofs.canteen.site, failures=2, stands_out=True),
        count(roofs.diner.site),
    ]


@pytest.mark.parametrize(
    ("who", "asked", "found"),
    [
        ("theo", "", [1, 3, 0, 4, 2]),
        ("dana", "?by=site", [3, 4, 2]),
        ("dana", "?stands_out=true", [1, 3]),
        ("olga", "", [3, 2]),
        ("olga", "?by=model", []),
        ("sam", "?item=switch", [4]),
        ("sam", "?item=any", []),
    ],
)
def test_counts_when_listed_then_what_stands_out_first_and_owners_their_sites(
    counts: list[FailureTally], who: str, asked: str, found: list[int],
    request: pytest.FixtureRequest,
) -> None:  # fmt: skip
    client, told = by_key(request.getfixturevalue(who)), []
    address = f"{V1}/failures/counts{asked or '?'}&limit=1"
    while address:
        page = client.get(address).json()
        told += [each["id"] for each in page["results"]]
        address = page["next"]
    assert told == [counts[at].pk for at in found]


def test_counts_then_owners_are_told_nothing_of_others(
    counts: list[FailureTally], olga: Person, mara: Person
) -> None:
    asked = [by_key(who).get(f"{V1}/failures/counts?by=site").json() for who in (olga, mara)]
    told = [[each["figures"] is None for each in page["results"]] for page in asked]
    assert told == [[True, True], [False, False, False]]


def test_pattern_then_only_we_are_told_how_its_model_fares_elsewhere(
    roofs: Roofs, olga: Person, theo: Person
) -> None:
    row = pattern_of(roofs.bakery)
    roofs.bakery.machines.update(model="HX 24")
    for on in ("2025-09-01", "2026-05-01"):
        failed(roofs.bakery, on)
    figures = {"years": 12.0}
    count(by="model", model="HX 24", failures=3, figures=figures)
    told = [by_key(who).get(f"{V1}/patterns/{row.pk}").json()["machines"] for who in (theo, olga)]
    assert [(each["told"], each["elsewhere"], each["elsewhere_years"]) for each in told] == [
        ("one_machine", 1, 10.0), ("one_machine", None, None),
    ]  # fmt: skip


@pytest.mark.parametrize(("item", "stays"), [("switch", True), ("motor", False)])
def test_pattern_then_whether_its_item_outlives_a_machine(
    roofs: Roofs, theo: Person, item: str, stays: bool
) -> None:
    row = pattern_of(roofs.bakery, item=item)
    told = by_key(theo).get(f"{V1}/patterns/{row.pk}").json()["machines"]
    assert told["item_stays"] is stays


def test_crews_then_their_steps_with_exact_limits(roofs: Roofs, theo: Person) -> None:
    days = [(timezone.now() - dt.timedelta(days=n)).date() for n in (50, 40, 30)]
    walk(roofs.bakery, f"{days[0]}", {"hinge": "within"})
    tipped(roofs.bakery, f"{days[1]}")
    walk(roofs.bakery, f"{days[2]}", {"hinge": "act"})
    (crew,) = by_key(theo).get(f"{V1}/failures/crews").json()["crews"]
    # Clopper and Pearson's lower limit of 1 in 1 is 0.025
    assert (crew["worse"], crew["lower"], crew["steps"][0]["subjects"]) == (
        1, pytest.approx(0.025), {"hinge": "act"},
    )  # fmt: skip


def test_curve_then_its_points_by_name(roofs: Roofs, theo: Person) -> None:
    failed(roofs.bakery, "2026-05-01")
    find_patterns(now=NOW)
    (point,) = by_key(theo).get(f"{V1}/failures/curve").json()["points"]
    assert (point["watched"], point["mean"]) == (3, pytest.approx(1 / 3, rel=1e-5))
