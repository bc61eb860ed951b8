"""Two pages of one browser at one fan, beside each other: each keeps what the other was told."""

from __future__ import annotations

import pytest
from playwright.sync_api import Locator, Page, expect

from fleet.models import Fan
from tests.phone.walks import begin, go, go_to, open_label, wait_for_all

pytestmark = [pytest.mark.browser, pytest.mark.once, pytest.mark.django_db(transaction=True)]
DEAF = "Object.defineProperty(window, 'BroadcastChannel', { value: undefined })"


def beside(phone: Page, fan: Fan, step: str = "look", *, deaf: bool = False) -> Page:
    """A second page at the same step of the visit begun; ``deaf`` hears nothing of the first."""
    open_label(phone, fan)
    begin(phone)
    go(phone, fan, step)
    phone.wait_for_timeout(300)  # the disk has had its turn
    other = phone.context.new_page()
    if deaf:
        other.add_init_script(DEAF)
    with other.expect_response("**/api/v1/round/fans/*"):
        other.goto(f"/round/#/fan/{fan.pk}/{step}")
    expect(other.locator(".steps")).to_be_visible()
    other.wait_for_timeout(300)  # what came has been drawn
    wait_for_all(other)
    return other


def answer(page: Page, field: str, code: str) -> Locator:
    return page.locator(f"[data-field={field}] [data-code={code}]")


def is_told(page: Page, field: str, code: str) -> None:
    expect(answer(page, field, code)).to_have_attribute("aria-pressed", "true")


def test_answers_when_given_on_two_pages_in_view_then_each_shows_both_and_both_are_kept(
    phone: Page, fan: Fan
) -> None:
    other = beside(phone, fan)
    answer(phone, "curb", "tight").click()
    is_told(other, "curb", "tight")
    answer(other, "hinge", "loose").click()
    is_told(phone, "hinge", "loose")
    answer(phone, "wheel", "clean").click()
    is_told(other, "wheel", "clean")
    phone.reload()
    for field, code in (("curb", "tight"), ("hinge", "loose"), ("wheel", "clean")):
        is_told(phone, field, code)


def test_answers_when_no_page_hears_of_the_other_then_both_are_kept_all_the_same(
    phone: Page, fan: Fan
) -> None:
    """As in a browser without channels, or within the moment that a message takes."""
    other = beside(phone, fan, deaf=True)
    answer(phone, "curb", "tight").click()
    phone.wait_for_timeout(300)
    answer(other, "hinge", "loose").click()
    other.wait_for_timeout(300)
    answer(phone, "wheel", "clean").click()
    phone.wait_for_timeout(300)
    phone.reload()
    for field, code in (("curb", "tight"), ("hinge", "loose"), ("wheel", "clean")):
        is_told(phone, field, code)


def test_answer_when_given_on_a_page_out_of_view_then_taken_over_on_coming_back(
    phone: Page, fan: Fan
) -> None:
    """Headless pages are always in view, so that coming back to one is told to it."""
    other = beside(phone, fan, deaf=True)
    answer(phone, "hinge", "loose").click()
    phone.wait_for_timeout(300)
    other.evaluate("() => document.dispatchEvent(new Event('visibilitychange'))")
    is_told(other, "hinge", "loose")


def test_note_when_being_typed_while_the_other_page_tells_more_then_nothing_of_either_is_lost(
    phone: Page, fan: Fan
) -> None:
    other = beside(phone, fan, "tell")
    note = phone.locator("textarea").last
    note.press_sequentially("Cleaners ")
    other.get_by_role("button", name="Add a finding").click()
    other.get_by_label("What", exact=True).select_option("hinge")
    phone.wait_for_timeout(300)
    expect(note).to_be_focused()
    note.press_sequentially("tipped it")
    expect(note).to_have_value("Cleaners tipped it")
    expect(phone.get_by_role("group", name="Finding")).to_have_count(0)
    phone.locator("textarea").last.blur()
    expect(phone.get_by_label("What", exact=True)).to_have_value("hinge")
    phone.reload()
    expect(phone.locator("textarea").last).to_have_value("Cleaners tipped it")
    expect(phone.get_by_label("What", exact=True)).to_have_value("hinge")


def test_entries_when_added_on_both_pages_at_once_then_all_stand(phone: Page, fan: Fan) -> None:
    other = beside(phone, fan, "tell", deaf=True)
    for page, note in ((phone, "torn"), (other, "bent")):
        page.get_by_role("button", name="Add a finding").click()
        page.locator("fieldset.finding textarea").fill(note)
        page.get_by_role("button", name="Add work", exact=True).click()
        page.locator("fieldset").last.get_by_label("Part").fill(note)
        page.wait_for_timeout(300)
    other.reload()
    expect(other.locator("fieldset.finding")).to_have_count(2)
    parts = other.get_by_label("Part").evaluate_all("all => all.map((each) => each.value)")
    assert sorted(parts) == ["bent", "torn"]


def test_visit_when_sent_from_the_other_page_then_this_one_is_told_and_brings_none_back(
    phone: Page, fan: Fan
) -> None:
    other = beside(phone, fan)
    go(other, fan, "sum")
    other.get_by_role("button", name="Keep and send").click()
    expect(other.locator("h1")).to_have_text("Kept and sent")
    expect(phone.locator("main")).to_contain_text("Nothing is begun at this fan.")
    go_to(phone, "#/")
    expect(phone.locator(".line")).to_have_text("Nothing unsent.")
