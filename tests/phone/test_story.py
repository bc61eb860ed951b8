"""A service call as it goes on a roof: what is told there is taken as it was told."""

from __future__ import annotations

import datetime as dt

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from fleet.models import Fan, Person
from schedules.engine import after_event
from tests.phone.test_happenings import due_days, tell_cleaning
from tests.phone.walks import SENT, begin, go, look, open_label
from tests.visits.roofs import check, visit
from visits.models import Finding, Visit
from visits.services import record_visit

pytestmark = [pytest.mark.browser, pytest.mark.once, pytest.mark.django_db(transaction=True)]


def make_service_call(page: Page, fan: Fan) -> None:
    """Begun as a walk-through by mistake."""
    go(page, fan, "sum")
    page.get_by_label("Kind of visit").select_option("service_call")
    expect(page.locator(".letter")).to_contain_text("Service call of EF-1")


def keep_and_send(page: Page, fan: Fan) -> None:
    go(page, fan, "sum")
    page.get_by_role("button", name="Keep and send").click()
    expect(page.locator(".line")).to_have_text(SENT)


def test_finding_when_on_an_item_no_check_looks_at_then_on_record_and_shown_when_put_right(
    phone: Page, fan: Fan
) -> None:
    open_label(phone, fan)
    begin(phone)
    make_service_call(phone, fan)
    go(phone, fan, "tell")
    phone.get_by_role("button", name="Add a finding").click()
    finding = phone.locator("fieldset.finding")
    finding.get_by_label("What", exact=True).select_option(label="Disconnecting switch")
    finding.get_by_role("button", name="Degraded").click()  # it is picked already, and stays so
    finding.get_by_role("button", name="yes, nobody will change it").click()
    phone.get_by_role("button", name="Add advice").click()
    phone.get_by_label("About").select_option(label="Disconnecting switch")
    phone.get_by_label("In words the owner understands").fill("A new switch.")
    phone.get_by_role("button", name="1 week").last.click()
    go(phone, fan, "sum")
    expect(phone.locator(".letter")).to_contain_text("Disconnecting switch: Degraded.")
    keep_and_send(phone, fan)
    found = Finding.objects.get()
    assert (found.item, found.subject, found.severity) == ("switch", "", "degraded")
    assert Visit.objects.get().kind == "service_call"
    phone.get_by_role("button", name="Put right").click()
    expect(phone.locator(".letter")).to_contain_text("Disconnecting switch: Degraded.")


def test_dead_fan_when_tipped_before_and_all_is_looked_at_then_the_look_is_settled(
    phone: Page, fan: Fan
) -> None:
    open_label(phone, fan)
    tell_cleaning(phone, "yesterday")
    phone.get_by_role("button", name="Keep and send").click()
    begin(phone)
    make_service_call(phone, fan)
    go(phone, fan, "look")
    look(phone)
    phone.locator("[data-field=running] [data-code=dead]").click()
    phone.locator("[data-field=rotation] [data-code=right]").click()
    keep_and_send(phone, fan)
    assert due_days(fan, after_event.number) == []


def test_fan_when_not_reached_and_yet_looked_at_then_asked_which_is_so(
    phone: Page, fan: Fan
) -> None:
    open_label(phone, fan)
    begin(phone)
    phone.get_by_role("button", name="Something not reached…").click()
    go(phone, fan, "sum")
    expect(phone.locator("main")).not_to_contain_text("yet to have been looked at")
    go(phone, fan, "look")
    look(phone)
    go(phone, fan, "sum")
    expect(phone.locator("main")).to_contain_text("yet to have been looked at")


def test_place_when_slight_vibration_was_felt_before_then_its_button_means_none(
    phone: Page, fan: Fan, theo: Person
) -> None:
    now = timezone.now()
    for days, felt in ((40, "slight"), (20, "none")):
        told = visit(check(seen={"vibration_felt": felt}), on=f"{now - dt.timedelta(days=days):%F}")
        record_visit(payload=told, by=theo, now=now)
    open_label(phone, fan)
    begin(phone)
    for place in phone.locator(".all-so").all():
        place.tap()
    none = phone.locator("[data-field=vibration_felt] [data-code=none]")
    expect(none).to_have_attribute("aria-pressed", "true")


def test_dead_fan_when_more_is_said_of_it_then_a_failure_of_the_part_that_is_named(
    phone: Page, fan: Fan
) -> None:
    """Of a part nobody names it is the whole fan's, and asked for; the motor is not blamed."""
    open_label(phone, fan)
    begin(phone)
    make_service_call(phone, fan)
    go(phone, fan, "look")
    phone.locator("[data-field=running] [data-code=dead]").click()
    phone.locator("[data-field=running]").get_by_role("button", name="Say more").click()
    go(phone, fan, "sum")
    expect(phone.locator("main")).to_contain_text("Which part failed?")
    keep_and_send(phone, fan)
    assert Finding.objects.values_list("item", "loss_of_function").get() == ("machine", True)
    phone.get_by_role("button", name="Put right").click()
    expect(phone.locator(".letter")).to_be_visible()
    go(phone, fan, "tell")
    finding = phone.locator("fieldset.finding")
    finding.get_by_label("What", exact=True).select_option(label="Disconnecting switch")
    expect(finding).to_contain_text("Look next")
    expect(finding).not_to_contain_text("May have caused it")  # nothing on record tells of any
    go(phone, fan, "sum")
    phone.get_by_role("button", name="Looked again").click()
    keep_and_send(phone, fan)
    told = Finding.objects.standing().values_list("item", "loss_of_function").get()
    assert told == ("switch", True)
