"""The owner's page in words, and every page of a link in a real browser at phone width."""

from __future__ import annotations

import datetime as dt
import re
from io import BytesIO
from typing import Any
from urllib.parse import urlsplit
from uuid import uuid4

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.core.management import call_command
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from playwright.sync_api import Page
from pypdf import PdfReader

from fleet.models import Agreement, Fan, OwnerLink, Person, Site
from fleet.services.links import make_link, token_of
from fleet.services.supplied import enter_supplied
from schedules.models import Booking, DueState
from schedules.services import log_visit
from schedules.wording import day_text
from tests.owner.answers import NAME, said
from tests.owner.conftest import ADVICE, TODAY, Kitchen
from tests.visits.roofs import WITHIN, check, make_roof, visit
from visits.models import Decision, RunningTold, VisitAnswer


def log(kitchen: Kitchen, *checks: Any, **parts: Any) -> None:
    """A visit of yesterday."""
    place = {"owner": kitchen.owner.name, "site": kitchen.site.name}
    payload = {**visit(*checks, on=f"{TODAY - dt.timedelta(days=1)}T10:00"), **place, **parts}
    log_visit(payload=payload, by=None, now=timezone.now())


def overdue(kitchen: Kitchen, days: int = 9) -> None:
    """Its EF-2 should have been visited so long ago."""
    fan = Fan.objects.get(site=kitchen.site, tag="EF-2")
    past = TODAY - dt.timedelta(days=days)
    DueState.objects.filter(fan=fan).update(due_on=past, overdue_after=past)


def bought_one_visit(kitchen: Kitchen) -> None:
    """It was made; the next is overdue."""
    starts = TODAY - dt.timedelta(days=100)
    Agreement.objects.create(owner=kitchen.owner, starts_on=starts, visits_per_year=1)
    overdue(kitchen)


def part(page: str, heading: str, following: str) -> str:
    """What stands between two headings."""
    return page.partition(heading)[2].partition(following)[0]


def test_page_then_what_we_need_stands_apart_from_what_we_owe(
    browser: Client, kitchen: Kitchen
) -> None:
    overdue(kitchen)
    page = said(browser.get("/o/"))
    need, owe = part(page, "We need from you", "We owe you"), part(page, "We owe you", "Your kit")
    assert (ADVICE in need, "EF-2" in need) == (True, False)
    assert ("overdue by 9 days" in owe, ADVICE in owe) == (True, False)


def test_page_when_visits_beyond_those_bought_are_due_then_asks_for_a_yes(
    browser: Client, kitchen: Kitchen
) -> None:
    bought_one_visit(kitchen)
    page = said(browser.get("/o/"))
    need = part(page, "We need from you", "We owe you")
    assert "May we come once more? The one visit bought for the year from" in need
    assert "EF-2 (overdue by 9 days)." in need
    assert "EF-2" not in part(page, "We owe you", "Your kitchens")


def test_page_when_somebody_is_booked_then_says_when_and_not_who(
    browser: Client, kitchen: Kitchen, theo: Person, dana: Person
) -> None:
    overdue(kitchen)
    day, now = TODAY + dt.timedelta(days=5), timezone.now()
    Booking.objects.create(
        site=kitchen.site, technician=theo, day=day, booked_at=now, booked_by=dana,
        changed_at=now, changed_by=dana,
    )  # fmt: skip
    owe = part(said(browser.get("/o/")), "We owe you", "Your kitchens")
    assert f"A technician is coming on {day_text(day)}." in owe
    assert ("theo" in owe, "none is settled yet" in owe) == (False, False)


def test_page_when_a_fan_must_not_run_then_that_stands_first(
    browser: Client, kitchen: Kitchen
) -> None:
    log(kitchen, check("EF-2", seen={**WITHIN, "guard": "off"}))
    page = said(browser.get("/o/"))
    stopped = part(page, "Stopped, or must not run", "We need from you")
    assert "stop The guard is off" in stopped
    assert "No fan means no cooking under its hood" in stopped


def test_page_when_a_fan_is_made_safe_then_says_what_restarts_it(
    browser: Client, kitchen: Kitchen
) -> None:
    made = {"fan": "EF-2", "told": "the chef", "restarts_when": "the guard is back"}
    log(kitchen, check("EF-2", seen={**WITHIN, "guard": "off"}), made_safe=[made])
    stopped = part(said(browser.get("/o/")), "Stopped, or must not run", "We need from you")
    assert "the chef. While it is off nothing may be cooked under its hood." in stopped
    assert "Nobody may switch it on, take off a lock or reset a breaker." in stopped
    assert "What it takes to run again: the guard is back." in stopped


def test_page_when_a_stopped_fan_is_overdue_then_it_is_told_once(
    browser: Client, kitchen: Kitchen
) -> None:
    log(kitchen, check("EF-2", seen={**WITHIN, "guard": "off"}))
    overdue(kitchen)
    page = said(browser.get("/o/"))
    stopped = part(page, "Stopped, or must not run", "We need from you")
    owe = part(page, "We owe you", "Your kitchens")
    assert ("overdue by 9 days" in stopped, "EF-2" in owe) == (True, False)


def test_page_when_a_kitchen_says_a_fan_stands_then_what_that_means_and_no_price(
    browser: Client, kitchen: Kitchen
) -> None:
    RunningTold.objects.create(
        fan=kitchen.fan, link=kitchen.link, answer="not_running", told_by="B. Cook",
        told_on=TODAY, received_at=timezone.now(),
    )  # fmt: skip
    stopped = part(said(browser.get("/o/")), "Stopped, or must not run", "We need from you")
    assert f"Your kitchen said on {day_text(TODAY)} that it is not running (B. Cook)." in stopped
    assert "Nothing may be cooked under its hood until it runs again." in stopped
    advice = said(browser.get(kitchen.address))
    assert ("that it is not running" in advice, "on average" in advice) == (True, False)


def test_page_then_only_the_owner_s_own(browser: Client, kitchen: Kitchen, other: Kitchen) -> None:
    page = said(browser.get("/o/"))
    assert (kitchen.site.name in page, other.site.name in page) == (True, False)


def test_page_when_an_owner_supplies_a_fan_then_what_it_waits_for(
    browser: Client, kitchen: Kitchen, other: Kitchen
) -> None:
    for site in (kitchen.site, other.site):
        fan = site.fans.get(tag="EF-1")
        facts = {"ordered_on": TODAY, "expected_on": TODAY}
        enter_supplied(fan=fan, facts=facts, by=None, now=timezone.now())
    need = part(said(browser.get("/o/")), "We need from you", "We owe you")
    assert need.count("tell us when the new fan, expected on") == 1
    assert kitchen.site.name in need


# By hand: 4 weeks without a day, nothing failed in less than a year of record; 10 h at 1000.
def test_waiting_then_a_range_by_the_site_s_prices_and_what_is_our_choice(
    browser: Client, kitchen: Kitchen
) -> None:
    Site.objects.filter(pk=kitchen.site.pk).update(closed_hours=10, closed_hour_cost=1000)
    overdue(kitchen)
    owe = part(said(browser.get("/o/")), "We owe you", "Your kitchens")
    assert re.search(r"Waiting another 4 weeks costs roughly \d+ to [\d,]+ USD on average", owe)
    assert "a failure meanwhile, about 10,000 USD." in owe
    assert "times 10 hours closed, times 1,000 USD an hour" in owe
    assert "(60 %, our choice)" in owe


def test_waiting_when_nobody_entered_prices_then_what_a_failure_costs_is_our_choice(
    browser: Client, kitchen: Kitchen
) -> None:
    page = said(browser.get(kitchen.address))
    assert "a failure meanwhile, about 4,000 USD (our choice)." in page


def test_waiting_when_no_code_inspection_is_on_record_then_none_is_said_to_have_lapsed(
    browser: Client, kitchen: Kitchen
) -> None:
    """Somebody else may have made one: the letter says beside it that none is on record."""
    page = said(browser.get(kitchen.address))
    assert "No code inspection is on record here; if none was made, a week without one" in page
    assert "has lapsed" not in page


def test_waiting_when_the_code_inspection_lapsed_then_a_cost_a_week(
    browser: Client, kitchen: Kitchen
) -> None:
    ines = Person.objects.create(username="ines", role="technician", qualified_code_inspection=True)
    place = {"owner": kitchen.owner.name, "site": kitchen.site.name, "kind": "code_inspection"}
    payload = {**visit(on="2025-01-02T10:00"), **place, "inspections": [{"system": "Main line"}]}
    log_visit(payload=payload, by=ines, now=timezone.now())
    page = said(browser.get(kitchen.address))
    assert "The code inspection has lapsed for" in page
    assert "a week is reckoned at 250 USD (our choice)" in page


def test_waiting_when_the_fan_must_not_run_then_no_odds(browser: Client, kitchen: Kitchen) -> None:
    log(kitchen, check(seen={**WITHIN, "hinge": "broken"}))
    page = said(browser.get(kitchen.address))
    assert "This fan must not run until it is put right" in page
    assert "on average" not in page


@pytest.mark.parametrize(
    ("finding", "told"),
    [
        ({"cause": "Loose connection"}, "not determined: a loose or burnt connection."),
        ({"cause": "Screws_2 worked loose."}, "not determined: Screws_2 worked loose."),
        ({"cause": "other"}, "Our technician wrote down a cause; ask us about it."),
        ({"cause": "unknown"}, "The cause is not known."),
        ({}, "The cause is not known."),
    ],
)
def test_advice_then_a_cause_is_hedged(
    browser: Client, kitchen: Kitchen, finding: dict[str, str], told: str
) -> None:
    noted = {"fan": "EF-2", "subject": "guard", "severity": "degraded", **finding}
    advised = {"fan": "EF-2", "subject": "guard", "text": "A new guard.", "id": str(uuid4())}
    log(kitchen, findings=[noted], recommendations=[advised])
    assert told in said(browser.get(f"/o/advice/{advised['id']}/"))


def test_advice_of_two_notes_then_no_sentence_denies_the_other(
    browser: Client, kitchen: Kitchen
) -> None:
    noted = {"fan": "EF-2", "subject": "guard", "severity": "degraded"}
    advised = {"fan": "EF-2", "subject": "guard", "text": "A new guard.", "id": str(uuid4())}
    log(kitchen, findings=[noted | {"cause": "vibration"}, noted], recommendations=[advised])
    told = said(browser.get(f"/o/advice/{advised['id']}/"))
    assert "not determined: vibration." in told
    assert "not known" not in told


def test_advice_on_a_reading_then_its_limit_stands_beside_it(
    browser: Client, kitchen: Kitchen
) -> None:
    advised = {"fan": "EF-2", "subject": "volts", "text": "Ask the utility.", "id": str(uuid4())}
    volts = dict.fromkeys(("volts_ab", "volts_bc", "volts_ca"), 200)
    log(kitchen, check("EF-2", readings=volts), recommendations=[advised])
    told = said(browser.get(f"/o/advice/{advised['id']}/"))
    assert "supply gives 200 V; this motor is built for no less than 207 V" in told


def test_page_then_queries_do_not_grow_with_fans_and_advice(
    browser: Client, kitchen: Kitchen
) -> None:
    counts = []
    for more in range(2):
        with CaptureQueriesContext(connection) as asked:
            browser.get("/o/")
        counts.append(len(asked))
        advised = [{"fan": tag, "subject": name, "text": "See to it."}
                   for tag in ("EF-1", "EF-2") for name in ("curb", "guard", "wheel")]  # fmt: skip
        log(kitchen, recommendations=advised)
        overdue(kitchen, 9 + more)
    assert counts[1] <= counts[0] + 2


def looked_at(page: Page) -> tuple[int, bool]:
    """Violations that axe sees, and whether the page scrolls sideways."""
    page.wait_for_load_state()  # a page that is only just being opened has no element yet
    wide = page.evaluate("document.documentElement.scrollWidth > innerWidth")
    return Axe().run(page).violations_count, wide


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_owner_on_a_phone_then_reads_answers_and_goes_back(page: Page, kitchen: Kitchen) -> None:
    seen = []
    bought_one_visit(kitchen)
    page.goto(f"/k/{token_of(kitchen.link)}")
    assert urlsplit(page.url).path == "/o/"
    seen.append(looked_at(page))
    page.get_by_role("link", name="Read it and answer : The hinge").click()
    seen.append(looked_at(page))
    page.get_by_label("Not now", exact=True).check()
    page.get_by_label("Not now: until when?").fill(str(TODAY + dt.timedelta(days=30)))
    page.get_by_label("Your name").fill(NAME)
    page.get_by_role("button", name="Give this answer").click()
    page.get_by_role("heading", name="Your answer is recorded").wait_for()
    seen.append(looked_at(page))
    page.go_back()
    page.get_by_text("Answered so far").wait_for()
    seen.append(looked_at(page))
    assert Decision.objects.get().answer == "not_now"
    page.goto(f"{urlsplit(page.url).scheme}://{urlsplit(page.url).netloc}/o/")
    page.get_by_role("link", name="Read it and answer : One more visit").click()
    seen.append(looked_at(page))
    page.get_by_label("Yes, come").check()
    page.get_by_label("Your name").fill(NAME)
    page.get_by_role("button", name="Give this answer").click()
    page.get_by_role("heading", name="Your answer is recorded").wait_for()
    assert VisitAnswer.objects.get().answer == "go_ahead"
    assert seen == [(0, False)] * 5


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_page_on_paper_then_whole_with_its_day_and_nothing_to_press(
    page: Page, kitchen: Kitchen
) -> None:
    """Paper opens nothing: what is folded away on the screen is printed, buttons are not."""
    for name in ("North", "South"):
        make_roof(kitchen.owner.name, name)
    call_command("reckon", "--all")
    overdue(kitchen)
    page.goto(f"/k/{token_of(kitchen.link)}")
    pages = PdfReader(BytesIO(page.pdf())).pages
    text = " ".join(" ".join(each.extract_text() for each in pages).split())
    assert f"As on record on {day_text(TODAY)}." in text
    assert (text.count("EF-2:"), "It is a rough range" in text) == (3, True)
    assert "Read it and answer" not in text


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_kitchen_on_a_phone_then_tells_of_each_fan(page: Page, kitchen: Kitchen) -> None:
    link = make_link(
        owner=kitchen.owner, now=timezone.now(), purpose=OwnerLink.Purpose.RUNNING,
        site=kitchen.site,
    )  # fmt: skip
    page.goto(f"/k/{token_of(link)}")
    seen = [looked_at(page)]
    for tag, word in (("EF-1", "Not running"), ("EF-2", "Running")):
        page.get_by_role("group", name=tag).get_by_label(word, exact=True).check()
    page.get_by_label("Your name").fill(NAME)
    page.get_by_role("button", name="Send these answers").click()
    page.get_by_text("it is recorded").wait_for()
    seen.append(looked_at(page))
    assert seen == [(0, False)] * 2
    assert RunningTold.objects.count() == 2


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_link_in_a_browser_then_no_later_page_is_told_of_it(page: Page, kitchen: Kitchen) -> None:
    words, told = token_of(kitchen.link), list[str]()
    page.on("request", lambda asked: told.append(f"{asked.url} {asked.headers.get('referer')}"))
    page.goto(f"/k/{words}")
    page.get_by_role("link", name="Read it and answer").click()
    assert [each for each in told[1:] if words in each] == []
    assert words not in page.content() + page.evaluate("document.referrer + document.cookie")
