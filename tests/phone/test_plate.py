"""The nameplate read on the roof without signal: into the register as far as it was empty there."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from fleet.models import Fan
from tests.phone.link import Link
from tests.phone.walks import SENT, begin, go, open_label, try_now
from visits.models import Visit

pytestmark = [pytest.mark.browser, pytest.mark.once, pytest.mark.django_db(transaction=True)]


def test_plate_when_read_then_empty_parts_are_filled_and_what_differs_is_said_at_once_and_told(
    phone: Page, link: Link, fan: Fan
) -> None:
    open_label(phone, fan)
    link.is_down = True
    begin(phone)
    go(phone, fan, "tell")
    phone.get_by_text("Nameplate", exact=True).click()
    phone.get_by_label("Full-load amperes").fill("3.1/1.6")
    expect(phone.locator(".plate-field .differs:not(:empty)")).to_have_text(
        "The register says 3.2/1.6, you read 3.1/1.6: look once more. The register stays; the "
        "office is told what you read."
    )
    phone.get_by_label("Frequency (Hz)").fill("60")
    phone.get_by_label("Thermal protector").select_option("yes")
    frame = phone.locator(".plate-field", has_text="Frame")
    frame.get_by_role("checkbox").check()
    go(phone, fan, "sum")
    phone.get_by_role("button", name="Keep and send").click()
    link.is_down = False
    try_now(phone)
    expect(phone.locator(".line")).to_have_text(SENT)
    expect(phone.locator("main")).to_contain_text("Now in the register: Frequency 60; Thermal")
    expect(phone.locator("main")).to_contain_text("the register says 3.2/1.6, 3.1/1.6 was read")
    machine = fan.machines.get()
    assert (machine.full_load_amps, machine.hertz) == ("3.2/1.6", 60)
    assert (machine.thermally_protected, machine.unreadable) == (True, ["frame"])
    assert Visit.objects.get().notes == ""


def test_plate_when_the_motor_is_three_phase_and_direct_then_no_capacitor_nor_belt_is_asked(
    phone: Page, fan: Fan
) -> None:
    """A run capacitor makes the second phase of a single-phase motor (common practice)."""
    fan.machines.update(motor_type="three_phase", drive="direct")
    open_label(phone, fan)
    begin(phone)
    go(phone, fan, "tell")
    phone.get_by_text("Nameplate", exact=True).click()
    expect(phone.get_by_label("Frame")).to_be_visible()
    expect(phone.get_by_label("Capacitor")).to_be_hidden()
    expect(phone.get_by_label("Sheaves")).to_be_hidden()
    phone.get_by_label("Motor", exact=True).select_option("psc")
    expect(phone.get_by_label("Capacitor")).to_be_visible()
    phone.get_by_label("Drive", exact=True).select_option("belt")
    expect(phone.get_by_label("Sheaves")).to_be_visible()
