"""Stops dragged in a real browser: to a place, to a day, let be, and by a finger that scrolls."""

from __future__ import annotations

import pytest
from playwright.sync_api import Locator, Page, expect

from fleet.models import Fan, Person
from tests.people import sign_in
from tests.rounds.weeks import draft, due_fan, left_out, park, plan, stop_at, stops

ADDRESS = "/week/2026-W50/"
pytestmark = [pytest.mark.browser, pytest.mark.once, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def fans(db: None) -> list[Fan]:
    there = [due_fan(number) for number in (1, 2, 3)]
    park()
    plan()
    return there


@pytest.fixture
def sheet(page: Page, fans: list[Fan], dana: Person, monday_before: None) -> Page:
    """The week's page at a desk, as Dana sees it."""
    sign_in(page, dana)
    page.set_viewport_size({"width": 1280, "height": 900})
    page.goto(ADDRESS)
    return page


def middle(of: Locator) -> tuple[float, float]:
    box = of.bounding_box()
    assert box
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def take_up(page: Page, grip: Locator) -> None:
    grip.scroll_into_view_if_needed()
    x, y = middle(grip)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 9, y + 9)


def test_stop_when_dragged_before_the_first_then_there_and_focus_is_on_what_it_costs(
    sheet: Page, fans: list[Fan]
) -> None:
    keys = [stop.key for stop in stops()]
    take_up(sheet, sheet.locator(".stops .grip").last)
    first = sheet.locator(".stops > li").first.bounding_box()
    assert first
    sheet.mouse.move(first["x"] + 40, first["y"] + 4)
    expect(sheet.locator(".stops > li").first).to_have_class("before")
    sheet.mouse.up()
    expect(sheet.locator("#answer")).to_be_focused()
    expect(sheet.locator(".stops > li").first.locator("#answer")).to_contain_text("Costs")
    assert [stop.key for stop in stops()] == [keys[-1], *keys[:-1]]


def test_stop_when_let_go_at_a_day_without_a_round_then_on_that_day(
    sheet: Page, fans: list[Fan]
) -> None:
    key = stops()[0].key
    take_up(sheet, sheet.locator(".stops .grip").first)
    sheet.mouse.move(*middle(sheet.locator(".tray [data-day='2026-12-10']")))
    sheet.mouse.up()
    expect(sheet.locator("#answer")).to_contain_text("Thu 10 Dec 2026, J. Park")
    assert {stop.key: stop.round.day.isoformat() for stop in stops()}[key] == "2026-12-10"


def test_stop_when_escape_is_pressed_then_nothing_changes(sheet: Page, fans: list[Fan]) -> None:
    take_up(sheet, sheet.locator(".stops .grip").last)
    sheet.mouse.move(*middle(sheet.locator(".tray [data-day='2026-12-10']")))
    sheet.keyboard.press("Escape")
    expect(sheet.locator(".tray")).to_have_count(0)
    sheet.mouse.up()
    sheet.wait_for_timeout(200)
    assert (draft().plan.revision, sheet.url.endswith(ADDRESS)) == (1, True)


def test_site_left_out_when_dragged_onto_a_round_then_put_in(sheet: Page, fans: list[Fan]) -> None:
    row = stop_at(fans[0])
    sheet.locator(f"#stop-{row.key} summary").click()
    sheet.locator(f"#stop-{row.key}").get_by_role("button", name="Take out").click()
    expect(sheet.locator("#answer")).to_contain_text("Took")
    take_up(sheet, sheet.locator(".left-out .grip"))
    sheet.mouse.move(*middle(sheet.locator(".tray [data-day='2026-12-07']")))
    sheet.mouse.up()
    expect(sheet.locator("#answer")).to_contain_text("Put")
    assert "EF-1" not in left_out()


def test_sheet_when_a_finger_moves_then_text_scrolls_and_a_grip_drags(
    sheet: Page, fans: list[Fan]
) -> None:
    finger = sheet.context.new_cdp_session(sheet)

    def touch(kind: str, *at: tuple[float, float]) -> None:
        points = [{"x": x, "y": y} for x, y in at]
        finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    def move_a_finger_on(spot: Locator) -> float:
        spot.scroll_into_view_if_needed()
        before, (x, y) = sheet.evaluate("scrollY"), middle(spot)
        touch("touchStart", (x, y))
        for step in range(1, 16):
            touch("touchMove", (x, y + 10 * step))
        return float(before)

    before = move_a_finger_on(sheet.locator(".stops .what").first)
    sheet.wait_for_function("before => Math.abs(scrollY - before) > 50", arg=before)
    sheet.wait_for_timeout(100)  # a finger that rests before it is lifted throws nothing
    touch("touchEnd")
    before = move_a_finger_on(sheet.locator(".stops .grip").first)
    expect(sheet.locator(".tray")).to_be_visible()
    assert sheet.evaluate("scrollY") == before
    touch("touchCancel")
    expect(sheet.locator(".tray")).to_have_count(0)
