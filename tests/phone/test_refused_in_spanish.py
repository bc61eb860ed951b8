"""What the server refuses is shown on the phone in the words of who carries it."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from fleet.models import Fan, Person
from tests.phone.link import Link
from tests.phone.walks import (
    expect_line,
    look,
    open_kept,
    open_label,
    try_now,
    wait_for_all,
    walk,
)
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
    open_kept(phone)
    phone.locator("main ul.plain a").first.click()
    expect(phone.locator("main .warning")).to_contain_text("Quay Street no tiene ese extractor")
    expect(phone.locator("main .warning")).to_contain_text("¿quizá EF-9? puede ser EF-")
    expect(phone.locator("main .warning")).to_contain_text("Check as found, Fan: ")
    assert Visit.objects.count() == 0


def test_record_when_refused_then_told_by_the_fields_own_label_and_entry_in_spanish(
    phone: Page, link: Link, fan: Fan, theo: Person
) -> None:
    """No pointer and no key of the record: whoever typed under a label knows neither."""
    Person.objects.filter(pk=theo.pk).update(language="es")
    open_label(phone, fan)
    phone.get_by_role("button", name="Empezar").click()
    expect(phone.locator(".steps [aria-current]")).to_have_text("Revisar")
    wait_for_all(phone)
    look(phone)
    phone.get_by_role("button", name="Algo que no se alcanzó").click()
    phone.get_by_label("Qué", exact=True).select_option("hinge")
    phone.get_by_role("button", name="Sigue: resumen").click()
    expect(phone.locator("main .warning")).to_contain_text("Se dice que algo no se alcanzó")
    phone.get_by_role("button", name="Guardar y enviar").click()
    refused = phone.locator("main ul.plain li", has_text="EF-1")
    expect(refused).to_contain_text("No se alcanzó: Bisagra: no se alcanzó y, sin embargo,")
    expect(refused).not_to_contain_text("not_reached")
    assert Visit.objects.count() == 0
