"""Bookings through the API: narrowed, in order, and told as far as their reader may know."""

from __future__ import annotations

import datetime as dt

import pytest

from fleet.models import Person
from schedules.bookings.services import withdraw_booking
from schedules.models import Booking
from tests.api.asking import V1, by_key
from tests.bookings.booked import NOW, TUESDAY, booked, planner, technician
from tests.people import Roofs

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)


@pytest.fixture
def three(roofs: Roofs) -> list[Booking]:
    """Two at Olga's bakery, the second withdrawn, and one at Sam's diner."""
    park = technician()
    rows = [
        booked(roofs.bakery.site, park, note="ask for the key"),
        booked(roofs.bakery.site, park, TUESDAY + DAY),
        booked(roofs.diner.site, park, TUESDAY + 2 * DAY),
    ]
    withdraw_booking(booking_id=rows[1].pk, seen=0, reason="closed", by=planner(), now=NOW + DAY)
    return rows


@pytest.mark.parametrize(
    ("who", "asked", "found"),
    [
        ("dana", "", [0, 2]),
        ("theo", "?withdrawn=true", [0, 1, 2]),
        ("dana", "?day_after=2026-12-02", [2]),
        ("dana", "?day_before=2026-12-02", [0]),
        ("dana", "?changed_since=2026-12-01T00:00:00Z&withdrawn=true", [1]),
        ("olga", "", [0]),
        ("olga", "?withdrawn=true", [0]),
        ("sam", "", [2]),
    ],
)
def test_bookings_when_listed_then_those_asked_for_that_one_may_see(
    three: list[Booking], who: str, asked: str, found: list[int], request: pytest.FixtureRequest
) -> None:
    answer = by_key(request.getfixturevalue(who)).get(f"{V1}/bookings{asked}")
    told = [each["id"] for each in answer.json()["results"]]
    assert told == [str(three[number].pk) for number in found]


@pytest.mark.parametrize(("who", "seen"), [("dana", 2), ("theo", 2), ("olga", 0)])
def test_bookings_when_narrowed_to_a_technician_then_owners_do_not_learn_who_comes(
    three: list[Booking], who: str, seen: int, request: pytest.FixtureRequest
) -> None:
    client = by_key(request.getfixturevalue(who))
    answer = client.get(f"{V1}/bookings?technician={three[0].technician_id}")
    assert len(answer.json()["results"]) == seen


def test_booking_then_told_to_owners_without_name_and_note(
    three: list[Booking], dana: Person, olga: Person
) -> None:
    told = [by_key(who).get(f"{V1}/bookings").json()["results"][0] for who in (dana, olga)]
    seen = [(each["technician"] and each["technician"]["name"], each["note"]) for each in told]
    assert seen == [("Jo Park", "ask for the key"), (None, "")]


def test_bookings_when_asked_page_by_page_then_each_once(
    three: list[Booking], dana: Person
) -> None:
    client, address, found = by_key(dana), f"{V1}/bookings?limit=1&withdrawn=true", []
    while address:
        page = client.get(address).json()
        found += [each["id"] for each in page["results"]]
        address = page["next"]
    assert found == [str(row.pk) for row in three]
