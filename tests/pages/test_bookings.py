"""Booking on a site's page: forms for those who plan, days for everybody who may see the site."""

from __future__ import annotations

import datetime as dt

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from playwright.sync_api import Page, expect

from fleet.models import Fan, Person
from schedules.due.reckoning import reckon_fleet
from schedules.models import Booking
from tests.bookings.booked import booked, technician
from tests.pages.test_due_list import text_of
from tests.people import Roofs, sign_in, signed_in

TODAY = timezone.now().date()
"""Read once: a test that runs over midnight asks for the day on which it booked."""


def soon(days: int = 3) -> dt.date:
    return TODAY + dt.timedelta(days=days)


@pytest.fixture
def bakery(roofs: Roofs) -> Fan:
    reckon_fleet(now=timezone.now())
    return roofs.bakery


@pytest.fixture
def booking(bakery: Fan) -> Booking:
    """Jo Park comes to the bakery in three days, with a note that owners do not read."""
    return booked(bakery.site, technician(), soon(), now=timezone.now(), note="ask for the key")


def entered(person: Person, **more: str) -> dict[str, str]:
    told = {"technician": str(person.pk), "day": soon().isoformat()}
    return {**told, "from_minute": "09:00", "until_minute": "11:00", **more}


def test_form_when_sent_then_booked_and_said(bakery: Fan, dana: Person) -> None:
    park, browser = technician(), signed_in(dana)
    answer = browser.post(f"/sites/{bakery.site_id}/bookings", entered(park), follow=True)
    booking = Booking.objects.get()
    assert (booking.from_minute, booking.until_minute, booking.booked_by) == (540, 660, dana)
    assert "9:00–11:00, J. Park." in text_of(answer)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"day": "2026-02-30"}, "That is no day; write it as 2026-03-31."),
        ({"day": "2020-02-02"}, "Sun 2 Feb 2020 is past there"),
        ({"from_minute": "9 o'clock"}, "That is no time; write it as 09:30."),
        ({"until_minute": ""}, "One time alone says too little"),
        ({"technician": "999999"}, "There is no such technician"),
    ],
)
def test_form_when_wrong_then_says_what_and_keeps_the_rest(
    bakery: Fan, dana: Person, wrong: dict[str, str], words: str
) -> None:
    asked = entered(technician(), note="by the ovens", **wrong) | wrong
    answer = signed_in(dana).post(f"/sites/{bakery.site_id}/bookings", asked)
    body = answer.content.decode()
    assert (answer.status_code, 'value="by the ovens"' in body) == (409, True)
    assert (words in text_of(answer), Booking.objects.count()) == (True, 0)


def test_move_when_sent_then_moved(booking: Booking, dana: Person) -> None:
    later = soon(5)
    asked = entered(booking.technician, day=later.isoformat(), seen="0")
    signed_in(dana).post(f"/bookings/{booking.pk}/move", asked)
    booking.refresh_from_db()
    assert (booking.day, booking.sequence, booking.changed_by) == (later, 1, dana)


def test_move_when_another_was_quicker_then_told(booking: Booking, dana: Person) -> None:
    browser, asked = signed_in(dana), entered(booking.technician, seen="0")
    browser.post(f"/bookings/{booking.pk}/move", asked | {"day": soon(5).isoformat()})
    answer = browser.post(f"/bookings/{booking.pk}/move", asked | {"day": soon(6).isoformat()})
    assert "changed this booking meanwhile" in text_of(answer)
    assert f'value="{soon(5)}"' in answer.content.decode()


@pytest.mark.parametrize("seen", ["0", "1", "x", "-1", "9" * 30])
def test_withdrawal_when_sent_then_only_of_what_was_seen(
    booking: Booking, dana: Person, seen: str
) -> None:
    asked = {"seen": seen, "reason": "no key"}
    signed_in(dana).post(f"/bookings/{booking.pk}/withdraw", asked)
    booking.refresh_from_db()
    assert booking.withdrawn_reason == ("no key" if seen == "0" else "")


@pytest.mark.parametrize("who", ["theo", "olga", "sam"])
def test_forms_when_others_send_them_then_nowhere(
    booking: Booking, who: str, request: pytest.FixtureRequest
) -> None:
    browser = signed_in(request.getfixturevalue(who))
    asked = entered(booking.technician, seen="0")
    addresses = [
        f"/sites/{booking.site_id}/bookings",
        f"/bookings/{booking.pk}/move",
        f"/bookings/{booking.pk}/withdraw",
    ]
    assert [browser.post(each, asked).status_code for each in addresses] == [404] * 3
    assert Booking.objects.filter(sequence=0).count() == 1


@pytest.mark.parametrize("address", ["/sites/{site}/", "/fans/{fan}/", "/"])
@pytest.mark.parametrize(
    ("who", "knows"),
    [("dana", (True, True)), ("theo", (True, True)), ("olga", (True, False))],
)
def test_booking_then_shown_with_its_technician_to_our_people_only(
    bakery: Fan, booking: Booking, address: str, who: str, knows: tuple[bool, bool],
    request: pytest.FixtureRequest,
) -> None:  # fmt: skip
    browser = signed_in(request.getfixturevalue(who))
    told = text_of(browser.get(address.format(site=bakery.site_id, fan=bakery.pk)))
    assert ("9:00–11:00" in told, "Park" in told) == knows


@pytest.mark.parametrize(("who", "reads"), [("dana", True), ("theo", True), ("olga", False)])
def test_note_then_read_by_our_people_only(
    booking: Booking, who: str, reads: bool, request: pytest.FixtureRequest
) -> None:
    told = text_of(signed_in(request.getfixturevalue(who)).get(f"/sites/{booking.site_id}/"))
    assert ("ask for the key" in told) == reads


def test_booking_when_withdrawn_then_struck_for_us_and_gone_for_owners(
    booking: Booking, dana: Person, olga: Person
) -> None:
    signed_in(dana).post(
        f"/bookings/{booking.pk}/withdraw", {"seen": "0", "reason": "a secret of ours"}
    )
    told = [
        "a secret of ours" in text_of(signed_in(who).get(f"/sites/{booking.site_id}/"))
        for who in (dana, olga)
    ]
    assert told == [True, False]


def test_site_when_more_is_booked_then_asks_no_more_questions(
    booking: Booking, dana: Person
) -> None:
    counts = []
    for days in (4, 5):
        with CaptureQueriesContext(connection) as asked:
            signed_in(dana).get(f"/sites/{booking.site_id}/")
        counts.append(len(asked) - counts[0] if counts else len(asked))
        booked(booking.site, booking.technician, soon(days), now=timezone.now())
    assert counts[1] == 0


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_booking_when_made_on_a_phone_then_shown_and_sound(
    page: Page, bakery: Fan, dana: Person
) -> None:
    technician()
    sign_in(page, dana)
    page.goto(f"/sites/{bakery.site_id}/")
    page.get_by_text("Book a visit").click()
    page.get_by_label("Technician", exact=True).select_option("Jo Park")
    page.get_by_label("Day").fill(soon().isoformat())
    page.get_by_label("From").fill("09:00")
    page.get_by_label("Until").fill("11:00")
    page.get_by_role("button", name="Book", exact=True).click()
    expect(page.get_by_role("status")).to_contain_text("9:00–11:00, J. Park.")
    page.get_by_text("Move or withdraw").click()
    wide = page.evaluate("document.documentElement.scrollWidth > innerWidth")
    assert (Axe().run(page).violations_count, wide) == (0, False)
