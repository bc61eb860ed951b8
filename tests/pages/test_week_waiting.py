"""A page that waits for its week to be planned: it looks by itself and disturbs nobody."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from fleet.models import Person
from schedules.models import AskedPlan
from schedules.rounds.services.asked import ask_for_plan, plan_asked
from schedules.rounds.services.planning import Search
from tests.bookings.booked import NOW
from tests.people import sign_in, signed_in
from tests.rounds.weeks import due_fan, park, plan, who

ADDRESS = "/week/2026-W50/"
pytestmark = pytest.mark.django_db


@pytest.fixture
def asked(db: None, monday_before: None) -> AskedPlan:
    """A week with a draft, and that somebody wants it planned anew."""
    park()
    due_fan(1)
    plan()
    return ask_for_plan(who(1))


def be_planned() -> None:
    assert plan_asked(now=NOW, search=Search(iterations=30)) == 1


def test_waiting_when_the_week_is_not_planned_yet_then_nothing_then_on_to_what_came(
    asked: AskedPlan, dana: Person
) -> None:
    browser = signed_in(dana)
    assert browser.get(f"{ADDRESS}asked").status_code == 204
    be_planned()
    assert browser.get(f"{ADDRESS}asked").headers["Location"] == f"{ADDRESS}#state"


def test_waiting_when_somebody_does_not_plan_then_404(asked: AskedPlan, theo: Person) -> None:
    assert signed_in(theo).get(f"{ADDRESS}asked").status_code == 404


@pytest.mark.browser
@pytest.mark.once
@pytest.mark.django_db(transaction=True)
def test_page_when_its_week_is_planned_then_shown_with_focus_on_what_it_is_now(
    page: Page, asked: AskedPlan, dana: Person
) -> None:
    sign_in(page, dana)
    page.goto(ADDRESS)
    be_planned()
    expect(page.locator("#state")).to_be_focused(timeout=10_000)
    expect(page.locator("#state")).to_contain_text("revision 2")


@pytest.mark.browser
@pytest.mark.once
@pytest.mark.django_db(transaction=True)
def test_page_when_somebody_has_a_form_open_then_they_are_told_and_nothing_is_closed(
    page: Page, asked: AskedPlan, dana: Person
) -> None:
    sign_in(page, dana)
    page.goto(ADDRESS)
    page.locator(".stops summary").click()
    be_planned()
    told = page.get_by_role("status").filter(has_text="The planning has come to an end.")
    expect(told).to_be_in_viewport(timeout=10_000)
    expect(page.get_by_role("button", name="Move there")).to_be_visible()
    told.get_by_role("link").click()
    expect(page.locator("#state")).to_contain_text("revision 2")
