"""Travel times in a browser: for whom, brought in two steps, what lacks as a file, forgotten."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from fleet.models import Person
from schedules.models import TravelTime
from tests.pages.test_due_list import text_of
from tests.people import signed_in
from tests.rounds.weeks import due_fan, park

pytestmark = pytest.mark.django_db
WAYS = b"From,To,Minutes,Km\nRoof of EF-7,base of Jo Park,12,8\n"


@pytest.fixture
def places(db: None) -> Person:
    """A roof and Jo Park's base."""
    due_fan(7)
    return park()


def send(browser: Client, data: bytes) -> Any:
    """The file, as the import page is given it."""
    file = SimpleUploadedFile("ways.csv", data)
    return browser.post("/import/", {"what": "travel", "file": file, "weeks": 6})


def bring(browser: Client, data: bytes = WAYS) -> None:
    """Read dry, then confirmed."""
    token = send(browser, data).context["told"].token
    browser.post("/import/", {"confirm": token})


@pytest.mark.parametrize("address", ["/travel/", "/travel/gaps.csv"])
@pytest.mark.parametrize(("who", "status"), [
    ("mara", 200), ("dana", 200), ("theo", 404), ("olga", 404), ("sam", 404),
])  # fmt: skip
def test_travel_when_opened_then_only_for_those_who_plan(
    who: str, status: int, address: str, request: pytest.FixtureRequest
) -> None:
    assert signed_in(request.getfixturevalue(who)).get(address).status_code == status


@pytest.mark.parametrize("address", ["/travel/", "/travel/gaps.csv", "/travel/forget"])
def test_travel_when_nobody_is_signed_in_then_asked_to(address: str) -> None:
    assert Client().post(address).status_code == 302


@pytest.mark.parametrize(("who", "status"), [
    ("mara", 302), ("dana", 404), ("theo", 404), ("olga", 404),
])  # fmt: skip
def test_ways_when_forgotten_then_by_a_manager_alone(
    who: str, status: int, mara: Person, request: pytest.FixtureRequest
) -> None:
    browser = signed_in(request.getfixturevalue(who))
    due_fan(7)
    park()
    bring(signed_in(mara))
    assert browser.post("/travel/forget").status_code == status
    assert TravelTime.objects.exists() is (status == 404)


def test_file_when_chosen_then_told_first_and_stored_once_confirmed(
    mara: Person, places: Person
) -> None:
    browser = signed_in(mara)
    told = text_of(send(browser, WAYS))
    assert "It would add 1 way." in told
    assert "1 of 2 ways among 2 places are on record." in told
    assert not TravelTime.objects.exists()
    bring(browser)
    assert TravelTime.objects.get().minutes == 12
    token = send(browser, WAYS.replace(b"12", b"13")).context["told"].token
    told = text_of(browser.post("/import/", {"confirm": token}, follow=True))
    assert "ways.csv is stored: changed 1 value." in told


def test_file_when_wrong_then_the_page_says_where_and_what_to_do(
    dana: Person, places: Person
) -> None:
    told = text_of(send(signed_in(dana), b"From,To,Minutes\nMars,base of Jo Park,12\n"))
    assert "one thing to put right" in told
    assert "no site with coordinates and no base has this name" in told


def test_page_when_ways_lack_then_named_and_given_as_a_file_that_can_be_brought(
    mara: Person, places: Person
) -> None:
    browser = signed_in(mara)
    bring(browser)
    assert "base of Jo Park to Roof of EF-7" in text_of(browser.get("/travel/"))
    gaps = browser.get("/travel/gaps.csv").content
    assert gaps == b"\xef\xbb\xbfFrom,To,Minutes,Km\r\nbase of Jo Park,Roof of EF-7,,\r\n"
    bring(browser, gaps.replace(b",,", b",14,8"))
    assert "2 of 2 ways among 2 places are on record." in text_of(browser.get("/travel/"))
