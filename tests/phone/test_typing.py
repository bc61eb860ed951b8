"""What is typed on a roof goes on record: while the round comes, twice tapped, no number."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, Route, expect

from fleet.models import Fan
from tests.phone.walks import SENT, begin, expect_line, go, look, open_label
from tests.visits.roofs import check, log
from visits.models import Check, Visit

pytestmark = [pytest.mark.browser, pytest.mark.once, pytest.mark.django_db(transaction=True)]


def test_typing_when_round_comes_meanwhile_and_sent_by_two_taps_then_one_record_has_it_all(
    phone: Page, fan: Fan
) -> None:
    open_label(phone, fan)
    begin(phone)
    held: list[Route] = []
    phone.route("**/api/v1/round?*", lambda route: held.append(route))
    with phone.expect_request("**/api/v1/round?*"):
        phone.reload()
    phone.locator("[data-field=cable] [data-code=sound]").click()
    with phone.expect_response("**/api/v1/round/fans/*"):
        held.pop().continue_()
    phone.locator("[data-field=hinge] [data-code=loose]").click()
    phone.get_by_text("More to look at or measure").click()
    phone.locator("#reading-speed_rpm").fill("about 900")
    go(phone, fan, "leave")
    phone.locator("[data-field=running] button").first.click()
    go(phone, fan, "sum")
    expect(phone.locator("main .warning")).to_contain_text("about 900. This is no number yet.")
    phone.get_by_role("button", name="Keep and send").dblclick()
    expect_line(phone, SENT)
    check = Check.objects.get()
    assert (check.cable, check.hinge, check.speed_rpm) == ("sound", "loose", None)
    assert Visit.objects.get().notes == "speed_rpm: about 900 rpm"


def test_reading_when_the_last_one_was_in_another_unit_then_that_unit_stands_there(
    phone: Page, fan: Fan
) -> None:
    """ISO 14694 BV-2, rigid: alarm at 0.5 in/s peak; 0.9 read as mm/s would be nothing at all.

    Limits in in/s peak as tests/limits has them from the standard's table 5.
    """
    last = {"vibration_motor_radial": "0.10 in/s peak"}
    log(check(readings=last))
    open_label(phone, fan)
    begin(phone)
    unit = phone.get_by_label("Vibration (motor, radial): unit")
    if not unit.is_visible():
        phone.get_by_text("More to look at or measure").click()
    expect(unit).to_have_value("in/s")
    phone.locator("#reading-vibration_motor_radial_mm_s").fill("0.9")
    phone.get_by_role("button", name="peak", exact=True).click()
    told = phone.locator("[data-field=vibration_motor_radial_mm_s] .told")
    expect(told).to_contain_text("stop")
    go(phone, fan, "sum")
    expect(phone.locator(".letter")).to_contain_text("0.9 in/s")


def test_summary_when_something_is_left_open_then_a_tap_leads_back_to_it(
    phone: Page, fan: Fan
) -> None:
    open_label(phone, fan)
    begin(phone)
    look(phone)
    phone.locator("[data-field=curb] [aria-pressed=true]").click()
    go(phone, fan, "sum")
    open_words = phone.locator("main .warning li", has_text="Not answered")
    expect(open_words).to_have_text(
        "Not answered: Curb. Without them it does not count as a complete walk-through."
    )
    open_words.get_by_role("link", name="Curb").tap()
    expect(phone.locator("[data-field=curb] button").first).to_be_focused()
    expect(phone.locator("[data-field=curb]")).to_be_in_viewport()


def test_summary_when_nothing_is_looked_at_then_all_left_open_fits_half_a_screen(
    phone: Page, fan: Fan
) -> None:
    """In lines no thumb misses: 24 px is what WCAG 2.2 asks at 2.5.8, and excepts sentences."""
    open_label(phone, fan)
    begin(phone)
    go(phone, fan, "sum")
    told = phone.locator("main .warning")
    expect(told.get_by_role("link", name="Curb")).to_be_visible()
    links = told.get_by_role("link")
    assert links.count() > 10
    box = told.bounding_box()
    assert box is not None
    assert box["height"] <= 370
    heights = links.evaluate_all("(all) => all.map((each) => each.getClientRects()[0].height)")
    assert min(heights) >= 24
