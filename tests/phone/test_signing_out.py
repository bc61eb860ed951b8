"""Signing out on another page of the site: the round goes from this phone, nothing unsent does."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from fleet.models import Fan, Person
from tests.phone.link import Link
from tests.phone.walks import begin, expect_line, go, open_label, walk
from visits.models import Visit

KEPT = """() => indexedDB.databases().then((all) => all.map((each) => each.name).sort())"""
BATCH = "/api/v1/visits/batch"
pytestmark = [pytest.mark.browser, pytest.mark.once, pytest.mark.django_db(transaction=True)]


def sign_out(page: Page) -> None:
    page.goto("/sites/")
    page.get_by_role("button", name="Sign out").click()


def test_sign_out_when_nothing_is_unsent_then_nothing_of_the_round_stays(
    phone: Page, link: Link, fan: Fan, theo: Person
) -> None:
    open_label(phone, fan)
    assert f"round-{theo.pk}" in phone.evaluate(KEPT)
    sign_out(phone)
    expect(phone).to_have_url(f"{link.address}/login/")
    assert phone.evaluate(KEPT) == ["round-device"]
    link.is_down = True
    phone.goto("/round/")
    expect(phone.locator("main")).not_to_contain_text("EF-1")


@pytest.mark.parametrize("what", ["record", "draft"])
def test_sign_out_when_something_is_unsent_then_asked_and_kept(
    phone: Page, link: Link, fan: Fan, theo: Person, what: str
) -> None:
    open_label(phone, fan)
    link.answers = {BATCH: 503}
    if what == "record":
        walk(phone)
        expect_line(phone, "1 record unsent")
    else:
        begin(phone)
        go(phone, fan, "tell")
        phone.get_by_label("Note").fill("half said")
    sign_out(phone)
    expect(phone).to_have_url(f"{link.address}/round/#/phone")
    expect(phone.get_by_role("button", name="keep it here, locked, for theo")).to_be_visible()
    assert f"round-{theo.pk}" in phone.evaluate(KEPT)
    link.answers = {}
    if what == "record":
        phone.get_by_role("button", name="Stay and send first").click()
        expect_line(phone, "Nothing unsent")
        assert Visit.objects.count() == 1


def test_sign_out_when_no_round_was_ever_here_then_no_database_is_made(
    phone: Page, link: Link
) -> None:
    sign_out(phone)
    expect(phone).to_have_url(f"{link.address}/login/")
    assert phone.evaluate(KEPT) == []
