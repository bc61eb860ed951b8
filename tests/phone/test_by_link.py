"""A link for the owner's decision, asked for on the roof without signal."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from fleet.models import Fan, Owner
from schedules.models import Notice
from tests.phone.link import Link
from tests.phone.walks import SENT, begin, go, open_label, try_now

pytestmark = [pytest.mark.browser, pytest.mark.once, pytest.mark.django_db(transaction=True)]


def test_link_when_tapped_without_signal_then_one_letter_goes_and_the_phone_says_to_whom(
    phone: Page, link: Link, fan: Fan
) -> None:
    Owner.objects.filter(pk=fan.site.owner_id).update(email="office@quay.example")
    open_label(phone, fan)
    link.is_down = True
    begin(phone)
    go(phone, fan, "tell")
    phone.get_by_role("button", name="Add advice").click()
    phone.get_by_label("In words the owner understands").fill("Refasten the curb.")
    phone.get_by_role("button", name="Send the owner a link").click()
    expect(phone.locator("main")).to_contain_text("The link is not shown on this phone")
    go(phone, fan, "sum")
    expect(phone.locator(".letter")).to_contain_text("you get a link by email to answer with")
    expect(phone.locator("main")).not_to_contain_text("worth little without the name")
    phone.get_by_role("button", name="Keep and send").click()
    assert not Notice.objects.exists()
    link.is_down = False
    try_now(phone)
    expect(phone.locator(".line")).to_have_text(SENT)
    told = f"A letter with the link goes to {fan.site.owner.name}, o…@quay.example, now."
    expect(phone.locator("main")).to_contain_text(told)
    assert Notice.objects.get(kind="advice").address == "office@quay.example"
