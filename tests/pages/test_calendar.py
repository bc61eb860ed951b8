"""A technician's calendar by its address, and the page where the address is handed over."""

from __future__ import annotations

import datetime as dt
import logging
import re
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone
from icalendar import Calendar

from config.logs import hide_secrets
from fleet.models import Fan, Person
from fleet.services.guesses import MOST
from schedules.bookings.services import move_booking, terms_of
from schedules.models import Booking, CalendarLink
from tests.bookings.booked import NOW, TUESDAY, booked, planner, technician
from tests.pages.test_due_list import text_of
from tests.people import signed_in
from tests.schedules.fans import make_fan

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)
ADDRESS = re.compile(r"/calendar/k/[0-9a-f]{64}\.ics")


@pytest.fixture(autouse=True)
def monday(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is NOW, until a test says otherwise."""
    it_is(NOW, monkeypatch)


def it_is(now: dt.datetime, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timezone, "now", lambda: now)


@pytest.fixture
def fan(db: None) -> Fan:
    return make_fan()


@pytest.fixture
def park(db: None) -> Person:
    return technician()


def make(person: Person, by: Person | None = None) -> str:
    """The address that the page shows once it was made."""
    answer = signed_in(by or person).post(f"/calendar/{person.pk}/", {"do": "make"})
    return ADDRESS.findall(answer.content.decode())[0]


def fetch(address: str, **headers: str) -> Any:
    """What a calendar program gets, which has no cookie."""
    return Client().get(address, headers=headers)


def told(address: str) -> dict[str, str]:
    """By site, the status of what a calendar program reads."""
    events = Calendar.from_ical(fetch(address).content).events
    return {str(each["SUMMARY"]): str(each["STATUS"]) for each in events}


def test_calendar_when_fetched_then_nobody_else_s_bookings(fan: Fan, park: Person) -> None:
    booked(fan.site, park)
    booked(make_fan("EF-2").site, technician("Ada Quill"))
    assert told(make(park)) == {"Roof fans: Roof of EF-1": "CONFIRMED"}


# RFC 5545, 3.8.1.11: who read of it before must be told that it does not take place.
def test_booking_when_given_to_another_then_cancelled_in_the_first_one_s_calendar(
    fan: Fan, park: Person
) -> None:
    booking, quill = booked(fan.site, park), technician("Ada Quill")
    first, second = make(park), make(quill)
    terms = terms_of(Booking.objects.get(pk=booking.pk))
    changed = type(terms)(quill, terms.day, terms.from_minute, terms.until_minute)
    move_booking(booking_id=booking.pk, seen=0, terms=changed, by=planner(), now=NOW)
    name = "Roof fans: Roof of EF-1"
    assert (told(first), told(second)) == ({name: "CANCELLED"}, {name: "CONFIRMED"})


@pytest.mark.parametrize(("days", "shown"), [(0, 1), (29, 1), (30, 0)])
def test_booking_when_past_then_shown_for_four_weeks(
    fan: Fan, park: Person, days: int, shown: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    booked(fan.site, park, TUESDAY)
    address = make(park)
    it_is(NOW + days * DAY, monkeypatch)
    assert len(told(address)) == shown


# RFC 9110, 13.1: asked by either, answered 304 while it reads the same.
@pytest.mark.parametrize(
    ("header", "name"), [("ETag", "if-none-match"), ("Last-Modified", "if-modified-since")]
)
def test_calendar_when_nothing_changed_then_not_sent_again(
    fan: Fan, park: Person, header: str, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    booked(fan.site, park)
    address = make(park)
    known = {name: fetch(address).headers[header]}
    it_is(NOW + 2 * DAY, monkeypatch)
    assert (fetch(address, **known).status_code, fetch(address, **known).content) == (304, b"")
    fan.site.access_notes = "hatch by the dry store"
    fan.site.save()
    assert fetch(address, **known).status_code == 200


def test_calendar_when_fetched_then_says_what_it_is_and_is_traced_nowhere(park: Person) -> None:
    headers = fetch(make(park)).headers
    assert {name: headers[name] for name in ("Content-Type", "Cache-Control", "Referrer-Policy",
                                             "X-Robots-Tag")} == {
        "Content-Type": "text/calendar; charset=utf-8", "Cache-Control": "private, no-cache",
        "Referrer-Policy": "no-referrer", "X-Robots-Tag": "noindex",
    }  # fmt: skip


def test_address_when_kept_then_only_as_a_digest(park: Person) -> None:
    token = make(park)[len("/calendar/k/") : -len(".ics")]
    row = CalendarLink.objects.filter(technician=park).values().get()
    assert token not in str(row)


def test_address_when_logged_then_without_its_words(park: Person) -> None:
    address = make(park)
    assert hide_secrets(f"Not Found: {address}") == "Not Found: /calendar/k/…"


def test_address_when_made_anew_or_ended_then_the_one_before_opens_nothing(park: Person) -> None:
    first = make(park)
    second = make(park)
    before = (fetch(first).status_code, fetch(second).status_code)
    signed_in(park).post(f"/calendar/{park.pk}/", {"do": "end"})
    assert (before, fetch(second).status_code) == ((404, 200), 404)


@pytest.mark.parametrize("facts", [{"is_active": False}, {"role": Person.Role.DISPATCHER}])
def test_calendar_when_they_left_or_climb_no_more_then_404(
    park: Person, facts: dict[str, Any]
) -> None:
    address = make(park)
    Person.objects.filter(pk=park.pk).update(**facts)
    assert fetch(address).status_code == 404


# A phone that was handed in must not show what they do after they came back.
def test_calendar_when_they_left_and_came_back_then_only_under_a_new_address(
    park: Person, mara: Person
) -> None:
    address, form = make(park), f"/admin/fleet/person/{park.pk}/change/"
    Person.objects.filter(pk=mara.pk).update(is_staff=True)
    manager = signed_in(mara)
    for is_active in (False, True):
        filled = manager.get(form).context["adminform"].form.initial
        told = {
            **{name: value for name, value in filled.items() if value not in (None, False)},
            "username": park.username, "is_active": "on" if is_active else "",
        }  # fmt: skip
        for prefix in ("working_week", "days_off"):
            told |= {f"{prefix}-TOTAL_FORMS": 0, f"{prefix}-INITIAL_FORMS": 0}
        assert manager.post(form, told).status_code == 302
        park.refresh_from_db()
        assert park.is_active is is_active
    assert (fetch(address).status_code, fetch(make(park)).status_code) == (404, 200)


@pytest.mark.parametrize("words", ["", "0" * 64, "x" * 64, "0" * 64 + "0"])
def test_address_when_there_is_none_of_those_words_then_404(park: Person, words: str) -> None:
    make(park)
    assert fetch(f"/calendar/k/{words}.ics").status_code == 404


def test_address_when_guessed_too_often_then_told_to_wait_while_a_right_one_opens(
    park: Person, caplog: pytest.LogCaptureFixture
) -> None:
    address = make(park)
    caplog.set_level(logging.ERROR)
    tried = [fetch(f"/calendar/k/{number:064x}.ics") for number in range(MOST + 1)]
    assert [each.status_code for each in tried[-2:]] == [404, 429]
    assert (tried[-1].headers["Retry-After"], fetch(address).status_code) == ("600", 200)


@pytest.mark.parametrize(
    ("who", "status"), [("mara", 200), ("dana", 200), ("theo", 404), ("olga", 404), ("sam", 404)]
)
def test_page_when_opened_then_for_the_technician_and_those_who_plan(
    who: str, status: int, park: Person, request: pytest.FixtureRequest
) -> None:
    browser, page = signed_in(request.getfixturevalue(who)), f"/calendar/{park.pk}/"
    answers = [browser.get(page), browser.post(page, {"do": "make"})]
    assert [each.status_code for each in answers] == [status, status]
    assert CalendarLink.objects.exists() is (status == 200)
    assert browser.post(page, {"do": "end"}).status_code == (302 if status == 200 else 404)


def test_page_when_nobody_is_signed_in_then_asked_to(park: Person) -> None:
    answer = Client().post(f"/calendar/{park.pk}/", {"do": "make"})
    assert (answer.status_code, answer.headers["Location"][:7]) == (302, "/login/")


@pytest.mark.parametrize(("who", "words"), [
    ("dana", "Jo Park Made Mon 30 Nov 2026 by J. Park; last fetched Mon 30 Nov 2026"),
    ("theo", "Your visits in your own calendar"), ("olga", ""),
])  # fmt: skip
def test_calendars_when_opened_then_by_role(
    who: str, words: str, park: Person, request: pytest.FixtureRequest
) -> None:
    person = request.getfixturevalue(who)
    fetch(make(park))
    answer = signed_in(person).get("/calendar/", follow=True)
    assert answer.status_code == (200 if words else 404)
    assert words in text_of(answer)


def test_page_when_of_somebody_who_is_no_technician_then_404(dana: Person) -> None:
    assert signed_in(dana).get(f"/calendar/{dana.pk}/").status_code == 404


def test_address_when_shown_then_not_again(park: Person) -> None:
    address = make(park)
    assert address not in signed_in(park).get(f"/calendar/{park.pk}/").content.decode()
