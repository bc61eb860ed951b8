"""What is typed on a roof goes on record: while the round comes, twice tapped, no number."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, Route, expect

from fleet.models import Fan
from tests.phone.walks import SENT, begin, expect_line, go, open_label
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
