"""A week changed by keys alone in a real browser: a stop goes to somebody else's day and back."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from fleet.models import Person
from tests.people import sign_in
from tests.rounds.weeks import due_fan, park, plan, quill, stop_at

pytestmark = [pytest.mark.browser, pytest.mark.once, pytest.mark.django_db(transaction=True)]


def press(page: Page, *keys: str) -> None:
    for key in keys:
        page.keyboard.press(key)


def test_stop_when_moved_by_keys_then_with_the_other_technician_and_undone_where_it_was(
    page: Page, dana: Person, monday_before: None
) -> None:
    fan = due_fan(1)
    park()
    plan()
    quill()
    key = stop_at(fan).key
    sign_in(page, dana)
    page.goto("/week/2026-W50/")
    page.locator(f"#stop-{key} summary").focus()
    press(page, "Enter", "Tab")
    page.keyboard.type("Ada")
    press(page, "Tab", "ArrowDown", "Tab", "Enter")
    told = page.locator(f"#stop-{key} #answer")
    expect(told).to_contain_text("to Tue 8 Dec 2026, A. Quill")
    expect(told).to_be_focused()
    there = stop_at(fan).round
    assert (there.technician.username, there.day.isoformat()) == ("quill", "2026-12-08")
    press(page, "Tab", "Enter")
    expect(told).to_contain_text("Undid: moved")
    expect(told).to_be_focused()
    assert stop_at(fan).round.day.isoformat() == "2026-12-07"
