"""Refused addresses on the page of emails: who, why, and try again; for those who plan."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from playwright.sync_api import Page

from fleet.models import Owner, Person
from schedules.models import RefusedAddress
from tests.pages.test_due_list import text_of
from tests.pages.test_notices import owe
from tests.people import Roofs, sign_in, signed_in
from tests.schedules.fans import NOW

ADDRESS = "office@alder.example"
AGAIN = "/notices/try-again"


@pytest.fixture
def refused(roofs: Roofs) -> RefusedAddress:
    """Olga's office takes no mail; a letter waits."""
    owner = roofs.bakery.site.owner
    Owner.objects.filter(pk=owner.pk).update(email=ADDRESS, phone="555-0117")
    owe(owner)
    return RefusedAddress.objects.create(address=ADDRESS, since=NOW, why="550 no such box")


def test_page_then_says_whose_address_was_refused_and_why(
    refused: RefusedAddress, dana: Person
) -> None:
    text = text_of(signed_in(dana).get("/notices/"))
    assert (
        f"{ADDRESS} Alder Kitchens; 555-0117 Mon 15 Jun 2026, 07:00 CDT. 550 no such box 1" in text
    )
    assert "Written Mon 15 Jun 2026, 07:00 CDT; waits, for its address takes no mail." in text


def test_page_when_nothing_was_refused_then_says_nothing_of_it(roofs: Roofs, dana: Person) -> None:
    assert "refused" not in text_of(signed_in(dana).get("/notices/"))


def test_try_again_when_a_planner_says_so_then_the_address_takes_letters(
    refused: RefusedAddress, dana: Person
) -> None:
    answer = signed_in(dana).post(AGAIN, {"address": ADDRESS})
    assert (answer.headers["Location"], RefusedAddress.objects.count()) == ("/notices/", 0)


def test_try_again_when_others_ask_then_nowhere_and_nothing_changes(
    refused: RefusedAddress, theo: Person, olga: Person, sam: Person
) -> None:
    codes = {signed_in(p).post(AGAIN, {"address": ADDRESS}).status_code for p in (theo, olga, sam)}
    assert (codes, RefusedAddress.objects.count()) == ({404}, 1)


def test_try_again_when_only_looked_at_then_nothing_changes(
    refused: RefusedAddress, dana: Person
) -> None:
    assert signed_in(dana).get(AGAIN).status_code == 405


def test_try_again_without_our_form_then_refused(refused: RefusedAddress, dana: Person) -> None:
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(dana)
    assert browser.post(AGAIN, {"address": ADDRESS}).status_code == 403


@pytest.mark.parametrize("address", ["", "other@alder.example", "x" * 5000, "a\x00b"])
def test_try_again_of_an_address_never_refused_then_nowhere(
    refused: RefusedAddress, dana: Person, address: str
) -> None:
    assert signed_in(dana).post(AGAIN, {"address": address}).status_code == 404


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_page_with_refusals_when_read_by_axe_then_no_violation_and_no_sideways_scroll(
    page: Page, refused: RefusedAddress, dana: Person
) -> None:
    sign_in(page, dana)
    page.goto("/notices/")
    wide = page.evaluate("document.documentElement.scrollWidth > innerWidth")
    assert (Axe().run(page).violations_count, wide) == (0, False)
    page.get_by_role("button", name=f"Try {ADDRESS} again").click()
    page.wait_for_url("**/notices/")
    assert RefusedAddress.objects.count() == 0
