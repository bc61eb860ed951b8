"""The page of a round without network: reloaded, killed, refused storage, a newer page."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from fleet.models import Fan, Person
from tests.people import sign_in
from tests.phone.killed import own_chromium
from tests.phone.link import Link
from tests.phone.walks import (
    SENT,
    begin,
    expect_line,
    go,
    kept,
    open_label,
    try_now,
    wait_for_worker,
    walk,
)
from visits.models import Check, Visit

pytestmark = [pytest.mark.browser, pytest.mark.once, pytest.mark.django_db(transaction=True)]


def test_walk_when_without_network_and_reloaded_then_logged_and_on_record_once_there_is_some(
    phone: Page, link: Link, fan: Fan, theo: Person
) -> None:
    link.clock_shift_s = 3 * 3600 + 300
    open_label(phone, fan)
    link.is_down = True
    phone.reload()
    expect(phone.locator("h1")).to_contain_text("EF-1")
    expect(phone.locator(".top .warning")).to_contain_text("clock is 3 h 05 min behind")
    walk(phone)
    phone.reload()
    expect_line(phone, "1 record unsent. Server not reached")
    link.is_down = False
    try_now(phone)
    expect(phone.locator(".line")).to_have_text(SENT)
    expect(phone.locator("main")).to_contain_text("EF-1 is on record.")
    check = Check.objects.get()
    assert (check.fan_id, check.visit.technician_id, check.running) == (fan.pk, theo.pk, "runs")


def test_draft_when_browser_is_killed_in_mid_word_then_every_keystroke_is_back(
    chromium: Browser, link: Link, fan: Fan, theo: Person, tmp_path: Path
) -> None:
    with own_chromium(chromium, tmp_path) as (page, process):
        sign_in(page, theo)
        page.goto(f"{link.address}/round/fan/{fan.pk}/")
        wait_for_worker(page)
        begin(page)
        page.locator("[data-field=hinge] button").nth(1).click()
        go(page, fan, "tell")
        page.get_by_label("Note").press_sequentially("Hinge pin half ou")
        page.wait_for_timeout(400)  # a hand that types no faster: the disk has had its turn
        process.kill()
    link.is_down = True
    with own_chromium(chromium, tmp_path) as (page, _):
        page.goto(f"{link.address}/round/fan/{fan.pk}/")
        page.get_by_role("button", name="Go on").click()
        kept = page.locator("[data-field=hinge] [aria-pressed=true]").inner_text()
        go(page, fan, "tell")
        assert (kept, page.get_by_label("Note").input_value()) == ("Loose", "Hinge pin half ou")


def test_storage_when_refused_then_said_and_what_is_finished_is_sent_all_the_same(
    phone: Page, fan: Fan
) -> None:
    phone.add_init_script("IDBFactory.prototype.open = () => { throw new DOMException('no') }")
    open_label(phone, fan)
    expect(phone.locator(".top .warning")).to_contain_text("This browser keeps nothing")
    walk(phone)
    expect(phone.locator(".line")).to_have_text(SENT)
    assert Visit.objects.count() == 1


FULL = """() => { IDBObjectStore.prototype.put = () => {
    throw new DOMException('full', 'QuotaExceededError') } }"""


def test_storage_when_full_then_nothing_pretends_to_be_kept(phone: Page, fan: Fan) -> None:
    open_label(phone, fan)
    begin(phone)
    phone.evaluate(FULL)
    go(phone, fan, "sum")
    phone.get_by_role("button", name="Keep and send").click()
    expect(phone.locator(".top .warning")).to_contain_text("NOT KEPT: the phone's storage is full")
    expect(phone.locator("main [role=alert]")).to_contain_text("NOT KEPT")
    assert phone.locator("h1").inner_text().startswith("EF-1")


def test_page_when_a_new_version_comes_while_a_record_waits_then_its_bytes_are_those_it_had(
    phone: Page, link: Link, fan: Fan
) -> None:
    open_label(phone, fan)
    link.answers = {"/api/v1/visits/batch": 503}
    walk(phone)
    expect_line(phone, "The server has trouble")
    before = kept(phone)
    link.rewrite = lambda path, body: (
        body.replace(b'"version": "', b'"version": "newer-') if (path == "/round/sw.js") else body
    )
    phone.evaluate("() => navigator.serviceWorker.getRegistration().then((it) => it.update())")
    expect(phone.locator(".top .warning")).to_contain_text("A newer version of this page is here")
    phone.reload()
    assert (len(before), kept(phone)) == (1, before)
    link.answers = {}
    expect(phone.locator(".line")).to_have_text(SENT, timeout=15_000)
