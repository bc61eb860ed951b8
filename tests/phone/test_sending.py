"""The queue of a phone: each record once, under its own name, whatever server and link do."""

from __future__ import annotations

import datetime as dt
import json
import os
import time
from itertools import pairwise
from pathlib import Path
from uuid import UUID

import pytest
from django.contrib.sessions.models import Session
from playwright.sync_api import Page, expect

from fleet.models import Fan, Person
from tests.people import sign_in
from tests.phone.link import Link
from tests.phone.walks import SENT, expect_line, go, open_label, try_now, walk
from tests.visits.roofs import check, visit
from visits.models import Photo, Visit
from visits.services import record_visit

VISITS, PHOTOS = (int(os.environ.get(f"PHONE_{name}", 4)) for name in ("VISITS", "PHOTOS"))
"""The long form: PHONE_VISITS=40 PHONE_PHOTOS=100; an even number of visits."""
BATCH = "/api/v1/visits/batch"
TAKEN = "11111111-2222-4333-8444-555555555555"
pytestmark = [pytest.mark.browser, pytest.mark.once, pytest.mark.django_db(transaction=True)]


def test_queue_when_every_third_request_is_lost_then_all_arrive_once_and_in_order_by_fan(
    phone: Page, link: Link, fan: Fan
) -> None:
    open_label(phone, fan)
    link.is_down = True
    fans = (fan, Fan.objects.get(tag="EF-2"))
    for place in range(VISITS):
        go(phone, fans[place % 2])
        walk(phone, photos=(place + 1) * PHOTOS // VISITS - place * PHOTOS // VISITS)
    expect_line(phone, f"{VISITS} records + {PHOTOS} photos unsent")
    link.is_down, link.drop_each, began = False, 3, time.monotonic()
    try_now(phone)
    expect(phone.locator(".line")).to_have_text(SENT, timeout=600_000)
    tell_figures(link, time.monotonic() - began)
    assert link.dropped >= VISITS // 2
    assert (Visit.objects.count(), Photo.objects.count()) == (VISITS, PHOTOS)
    for each in fans:
        came = list(Visit.objects.filter(checks__fan=each).order_by("received_at"))
        assert len(came) == VISITS // 2
        # to the second: a script begins two in one
        assert all(one.began_at <= two.began_at for one, two in pairwise(came))


def tell_figures(link: Link, seconds: float) -> None:
    """What the long form came to, where somebody wants to know."""
    if file := os.environ.get("PHONE_FIGURES"):
        told = {
            "visits": Visit.objects.count(), "photos": Photo.objects.count(),
            "requests_lost": link.dropped, "posts_that_reached_the_server": len(link.posts),
            "seconds": round(seconds, 1),
        }  # fmt: skip
        with Path(file).open("a") as figures:
            figures.write(json.dumps(told) + "\n")


def test_record_when_server_fails_then_session_ends_then_kept_until_signed_in_again(
    phone: Page, link: Link, fan: Fan, theo: Person
) -> None:
    open_label(phone, fan)
    link.answers = {BATCH: 500}
    walk(phone)
    expect_line(phone, "1 record unsent. The server has trouble")
    Session.objects.all().delete()
    link.answers = {}
    try_now(phone)
    expect_line(phone, "Sign in again to send. Nothing is lost")
    sign_in(phone, theo)
    phone.reload()
    expect(phone.locator(".line")).to_have_text(SENT)
    assert Visit.objects.count() == 1


def test_record_when_its_id_is_taken_then_explained_and_sent_under_a_new_one(
    phone: Page, fan: Fan, dana: Person
) -> None:
    record_visit(payload=visit(check("EF-2")) | {"id": TAKEN}, by=dana, now=_now())
    phone.add_init_script(
        f"const made = crypto.randomUUID.bind(crypto); let first = true;"
        f"crypto.randomUUID = () => first ? (first = false, '{TAKEN}') : made();"
    )
    open_label(phone, fan)
    walk(phone)
    expect_line(phone, "1 needs you")
    expect(phone.locator("main")).to_contain_text("Another record has its id already")
    phone.locator("main a.wide").click()
    phone.get_by_role("button", name="Open and put right").click()
    phone.get_by_role("button", name="Keep and send").click()
    expect(phone.locator(".line")).to_have_text(SENT)
    assert Visit.objects.exclude(pk=UUID(TAKEN)).get().checks.get().fan_id == fan.pk


def test_record_when_too_large_or_wrong_then_it_stays_and_says_what_is_wrong(
    phone: Page, link: Link, fan: Fan
) -> None:
    open_label(phone, fan)
    link.answers = {BATCH: 413}
    walk(phone)
    expect(phone.locator("main")).to_contain_text("It is too large for the server")
    link.answers = {}
    Fan.objects.filter(pk=fan.pk).update(tag="EF-9")
    phone.locator("main a.wide").click()
    phone.get_by_role("button", name="Send again as it is").click()
    expect(phone.locator("main")).to_contain_text("Not taken; put right what is said here")
    phone.locator("main a.wide").click()
    expect(phone.locator("main")).to_contain_text("Check as found, Fan: ")
    with phone.expect_download() as saved:
        phone.get_by_role("button", name="Save as a file").click()
    assert saved.value.path().read_text().startswith('{"type":"visit"')


def test_record_when_another_person_signs_in_then_unseen_and_sent_in_the_name_of_who_logged_it(
    phone: Page, link: Link, fan: Fan, theo: Person, dana: Person
) -> None:
    open_label(phone, fan)
    link.answers = {BATCH: 503}
    walk(phone)
    expect_line(phone, "The server has trouble")
    link.answers = {}
    sign_in(phone, dana)
    phone.reload()
    expect(phone.locator(".me")).to_have_text("dana")
    expect(phone.locator(".line")).to_have_text(SENT)
    assert Visit.objects.count() == 0
    sign_in(phone, theo)
    phone.reload()
    expect(phone.locator(".me")).to_have_text("theo")
    expect(phone.locator(".line")).to_have_text(SENT)
    assert Visit.objects.get().recorded_by == theo


def test_sign_out_when_something_is_unsent_then_asked_and_kept_or_wiped(
    phone: Page, link: Link, fan: Fan, theo: Person
) -> None:
    open_label(phone, fan)
    link.answers = {BATCH: 503}
    walk(phone)
    expect_line(phone, "The server has trouble")
    phone.locator(".me").click()
    phone.get_by_role("button", name="Sign out").click()
    expect(phone.locator("main")).to_contain_text("1 record unsent")
    phone.get_by_role("button", name="keep it here, locked, for theo").click()
    phone.wait_for_url("**/login/**")
    link.answers = {}
    sign_in(phone, theo)
    phone.goto("/round/")
    expect(phone.locator(".line")).to_have_text(SENT)
    phone.locator(".me").click()
    phone.get_by_role("button", name="Sign out").click()
    phone.wait_for_url("**/login/**")
    left = phone.evaluate("() => indexedDB.databases().then((all) => all.map((one) => one.name))")
    assert (Visit.objects.count(), left) == (1, ["round-device"])


def _now() -> dt.datetime:
    return dt.datetime(2026, 6, 15, 12, tzinfo=dt.UTC)
