"""A device that asks for what came in since learns of all of it, however long ago it happened."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from fleet.models import Person
from tests.api.asking import by_key, faults
from tests.api.logs import EVENTS, VISITS, cleaning, walk
from tests.people import Roofs
from visits.models import Event, Visit

pytestmark = pytest.mark.django_db
HAPPENED = ("2026-03-09", "2026-01-04", "2026-02-11")


@pytest.fixture(params=["visits", "events"])
def received(request: pytest.FixtureRequest, roofs: Roofs, theo: Person) -> tuple[str, list[str]]:
    """A list's address, and ids of what came in minute by minute, in that order."""
    visits = request.param == "visits"
    address, model = (VISITS, Visit) if visits else (EVENTS, Event)
    ids = []
    for minute, day in enumerate(HAPPENED):
        on = f"{day}T09:10"
        payload = walk(roofs.bakery, on) if visits else cleaning(roofs.bakery, on)
        by_key(theo).post(address, payload)
        at = dt.datetime(2026, 6, 1, 12, minute, tzinfo=dt.UTC)
        model.objects.filter(pk=payload["id"]).update(received_at=at)
        ids.append(payload["id"])
    return address, ids


def test_rows_when_asked_for_by_when_received_then_in_that_order_page_by_page(
    received: tuple[str, list[str]], theo: Person
) -> None:
    address, ids = received
    page: Any = f"{address}?received_since=2026-06-01T12:01:00Z&limit=1"
    told: list[str] = []
    while page and len(told) <= len(ids):
        answer = by_key(theo).get(page).json()
        page = answer["next"]
        told += [each["id"] for each in answer["results"]]
    assert (told, page) == (ids[1:], None)


def test_rows_when_not_asked_for_so_then_newest_first(
    received: tuple[str, list[str]], theo: Person
) -> None:
    address, (march, january, february) = received
    told = by_key(theo).get(address).json()["results"]
    assert [each["id"] for each in told] == [march, february, january]


def test_received_since_when_no_instant_then_400(theo: Person) -> None:
    assert faults(by_key(theo).get(f"{VISITS}?received_since=today")) == ["received_since"]
