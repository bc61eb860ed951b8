"""The roof on the phone: its plan opens fans without signal, and whom to call there."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from fleet.models import Fan, Person, SiteContact
from tests.people import sign_in
from tests.phone.link import Link
from tests.phone.walks import open_label, wait_for_all

pytestmark = [pytest.mark.browser, pytest.mark.once, pytest.mark.django_db(transaction=True)]
SEVEN_TO_ONE = {"rules": {"color-contrast-enhanced": {"enabled": True}}}


@pytest.fixture
def roof(fan: Fan) -> Fan:
    """EF-1 lies north of EF-2, and the keys are with Ada Mills."""
    Fan.objects.filter(tag="EF-1").update(east_m=2, north_m=9, place="over the fryers")
    Fan.objects.filter(tag="EF-2").update(east_m=5, north_m=-3)
    SiteContact.objects.create(
        site=fan.site, duty="kitchen", name="The kitchen", phone="555-0141", note="after 10"
    )
    SiteContact.objects.create(
        site=fan.site, duty="keys", name="Ada Mills", phone="+1 (555) 0142 x 7"
    )
    return fan


def test_plan_when_tapped_without_signal_then_opens_the_fan_it_shows(
    phone: Page, link: Link, roof: Fan
) -> None:
    open_label(phone, roof)
    link.is_down = True
    phone.goto("/round/")
    plan = phone.get_by_role("group", name="Roof plan of Quay Street")
    expect(plan).to_be_visible()
    names = [each.get_attribute("aria-label") for each in plan.get_by_role("link").all()]
    assert names == ["EF-1, over the fryers", "EF-2"]
    assert Axe().run(phone, options=SEVEN_TO_ONE).response["violations"] == []
    assert phone.evaluate("() => document.scrollingElement.scrollWidth") == 360
    plan.get_by_role("link", name="EF-2").tap()
    expect(phone.locator("h1")).to_contain_text("EF-2")


def test_plan_when_walked_by_keyboard_then_each_fan_in_its_turn(phone: Page, roof: Fan) -> None:
    open_label(phone, roof)
    phone.goto("/round/")
    expect(phone.get_by_role("group", name="Roof plan of Quay Street")).to_be_visible()
    wait_for_all(phone)
    phone.locator(".contacts a").last.focus()
    seen = []
    for _ in range(2):
        phone.keyboard.press("Tab")
        seen.append(phone.evaluate("() => document.activeElement.getAttribute('aria-label')"))
    phone.keyboard.press("Enter")
    assert seen == ["EF-1, over the fryers", "EF-2"]
    expect(phone.locator("h1")).to_contain_text("EF-2")


def test_plan_when_no_fan_has_a_place_then_none_is_drawn(phone: Page, fan: Fan) -> None:
    open_label(phone, fan)
    phone.goto("/round/")
    expect(phone.locator(".fans a")).to_have_count(2)
    expect(phone.locator("svg.plan")).to_have_count(0)


def test_contacts_when_at_a_fan_then_the_keys_come_first_and_a_tap_calls(
    phone: Page, roof: Fan
) -> None:
    """What is dialled is digits and a leading plus (RFC 3966, 5.1.4); no extension."""
    open_label(phone, roof)
    rows = phone.get_by_role("list", name="Whom to call").get_by_role("listitem")
    expect(rows.first).to_contain_text("Keys of the roof: Ada Mills")
    expect(rows.last).to_contain_text("after 10")
    called = [each.get_attribute("href") for each in rows.get_by_role("link").all()]
    assert called == ["tel:+15550142", "tel:5550141"]


def test_site_when_its_page_is_opened_then_plan_and_contacts_stand_there(
    page: Page, live_server: object, roof: Fan, dana: Person
) -> None:
    sign_in(page, dana)
    page.goto(f"{live_server}/sites/{roof.site_id}/")
    plan = page.get_by_role("group", name="Roof plan")
    assert Axe().run(page).response["violations"] == []
    expect(page.locator("dl.facts")).to_contain_text("Ada Mills")
    plan.get_by_role("link", name="EF-1, over the fryers").click()
    expect(page.locator("h1")).to_contain_text("EF-1")
