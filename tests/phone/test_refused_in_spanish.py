"""What the server refuses is shown on the phone in the words of who carries it."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from fleet.models import Fan, Person
from tests.phone.link import Link
from tests.phone.walks import expect_line, open_label, try_now, walk
from visits.models import Visit

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_record_when_its_fan_was_renamed_meanwhile_then_the_phone_shows_why_in_spanish(
    phone: Page, link: Link, fan: Fan, theo: Person
) -> None:
    """The page was opened in English: what comes from the server alone is in the new language."""
    open_label(phone, fan)
    link.is_down = True
    walk(phone)
    Person.objects.filter(pk=theo.pk).update(language="es")
    Fan.objects.filter(pk=fan.pk).update(tag="EF-9")
    link.is_down = False
    try_now(phone)
    expect_line(phone, "needs you")
    phone.evaluate("() => { location.hash = '#/unsent' }")
    phone.locator("main ul.plain a").first.click()
    expect(phone.locator("main .warning")).to_contain_text("Quay Street no tiene ese extractor")
    expect(phone.locator("main .warning")).to_contain_text("¿quizá EF-9? puede ser EF-")
    assert Visit.objects.count() == 0
