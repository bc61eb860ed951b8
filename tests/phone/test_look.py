"""Every step in the hand: read by axe, 7 : 1, text twice as large, and large enough for a glove."""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from fleet.models import Fan, Person
from tests.phone.earlier import earlier_visit
from tests.phone.walks import begin, go, open_label, wait_for_all

STEPS: tuple[tuple[Any, str], ...] = (
    *(("light", step) for step in ("", "look", "live", "tell", "sum", "slip", "happened")),
    *(("dark", step) for step in ("tell", "happened")),
)
SEVEN_TO_ONE = {"rules": {"color-contrast-enhanced": {"enabled": True}}}
OPEN_ALL = "() => document.querySelectorAll('details').forEach((each) => { each.open = true })"
TWICE = "() => { document.documentElement.style.fontSize = '200%' }"
WIDTH = "() => document.scrollingElement.scrollWidth"
SMALL = """() => [...document.querySelectorAll('button, summary, select, .fans a, .steps a, .bar a,'
    + 'input:not([type=checkbox], [type=file])')]
    .filter((each) => each.checkVisibility() && each.getBoundingClientRect().height < 48)
    .map((each) => each.outerHTML)"""
pytestmark = [pytest.mark.browser, pytest.mark.once, pytest.mark.django_db(transaction=True)]


def all_said(page: Page, fan: Fan) -> None:
    """A draft in which there is something of everything."""
    go(page, fan, "tell")
    for name in ("Add a finding", "Add work", "Add advice"):
        page.get_by_role("button", name=name).click()
    page.get_by_role("button", name="yes, it failed").click()
    page.get_by_role("button", name="Go ahead").click()
    go(page, fan)
    page.get_by_role("button", name="Something happened…").click()
    page.get_by_role("button", name="Hood cleaning").click()


def judged(page: Page) -> tuple[Any, ...]:
    """What is wrong with the page as it stands."""
    page.evaluate(OPEN_ALL)
    page.wait_for_timeout(50)
    found = Axe().run(page, options=SEVEN_TO_ONE).response["violations"]
    told = [(each["id"], each["nodes"][0]["html"]) for each in found]
    small = page.evaluate(SMALL)
    page.evaluate(TWICE)
    return told, small, page.evaluate(WIDTH)


def test_step_when_looked_at_then_readable_in_the_sun_and_large_enough(
    phone: Page, fan: Fan, theo: Person
) -> None:
    Person.objects.filter(pk=theo.pk).update(qualified_energised_work=True)
    open_label(phone, fan)
    begin(phone)
    all_said(phone, fan)
    wrong = {}
    for scheme, step in STEPS:
        phone.emulate_media(color_scheme=scheme)
        go(phone, fan, step)
        phone.evaluate("() => { document.documentElement.style.fontSize = '' }")
        found = judged(phone)
        if found != ([], [], 360):
            wrong[step, scheme] = found
    assert wrong == {}


def test_correction_when_looked_at_then_readable_in_the_sun_and_large_enough(
    phone: Page, fan: Fan, theo: Person
) -> None:
    earlier_visit(theo)
    open_label(phone, fan)
    wait_for_all(phone)
    arrived = judged(phone)
    phone.evaluate("() => { document.documentElement.style.fontSize = '' }")
    phone.get_by_role("button", name="Put right").click()
    expect(phone.locator(".steps [aria-current]")).to_have_text("Summary")
    wait_for_all(phone)
    assert (arrived, judged(phone)) == (([], [], 360), ([], [], 360))


def test_reading_when_typed_then_its_verdict_follows_and_what_cannot_be_is_asked_once(
    phone: Page, fan: Fan, theo: Person
) -> None:
    Person.objects.filter(pk=theo.pk).update(qualified_energised_work=True)
    open_label(phone, fan)
    begin(phone)
    go(phone, fan, "live")
    said = []
    for text in ("230", "180", "8000"):
        phone.locator("#reading-volts_ab_v").fill(text)
        said.append(phone.locator("[data-field=volts_ab_v] .told").inner_text().strip())
    assert said[0] == "within"
    assert said[1] in ("watch", "act", "stop")
    assert said[2].startswith("Outside 0 to 700 V: is it right?")
    phone.get_by_role("button", name="Yes, it showed that").click()
    expect(phone.locator("[data-field=volts_ab_v]")).to_contain_text("Kept as a note")
