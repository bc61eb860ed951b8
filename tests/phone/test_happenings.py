"""What happened between visits told on arrival, faults that last, and days to look again."""

from __future__ import annotations

import datetime as dt

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from fleet.models import Fan
from schedules.due.answers import read_answer
from schedules.engine import after_event, follow_up
from schedules.models import DueState
from tests.phone.link import Link
from tests.phone.walks import SENT, begin, expect_line, go, look, open_kept, open_label, try_now
from visits.models import Check, Event, Finding

pytestmark = [pytest.mark.browser, pytest.mark.once, pytest.mark.django_db(transaction=True)]


def due_days(fan: Fan, rule: int) -> list[dt.date]:
    """Days that a rule gives a fan, as stored."""
    dates, _ = read_answer(DueState.objects.get(fan=fan).dates)
    return [dt.date.fromordinal(each.due_day) for each in dates if each.rule == rule]


def tell_cleaning(page: Page, day: str) -> None:
    page.get_by_role("button", name="Something happened…").click()
    page.get_by_role("button", name="Hood cleaning").click()
    page.get_by_role("group", name="On which day").get_by_role("button", name=day).click()
    page.get_by_label("Who cleaned").fill("Night crew")
    page.get_by_role("group", name="Was EF-1 tipped?").get_by_role(
        "button", name="yes, on its hinge"
    ).click()


def test_cleaning_when_told_offline_then_survives_a_reload_and_asks_for_a_look_at_each_fan(
    phone: Page, link: Link, fan: Fan
) -> None:
    open_label(phone, fan)
    link.is_down = True
    tell_cleaning(phone, "yesterday")
    phone.wait_for_timeout(400)  # a hand that reloads no faster: the disk has had its turn
    phone.reload()
    phone.get_by_role("button", name="Keep and send").click()
    expect(phone.locator("main")).to_contain_text("Hood cleaning, ")
    expect_line(phone, "1 record unsent")
    link.is_down = False
    try_now(phone)
    expect(phone.locator(".line")).to_have_text(SENT)
    event = Event.objects.get()
    yesterday = timezone.localdate(timezone=fan.site.zone) - dt.timedelta(days=1)
    assert (event.crew, event.started_on, event.system) == ("Night crew", yesterday, fan.system)
    assert list(event.tipped_fans.all()) == [fan]
    # a look within 7 days of the cleaning's end: our choice, the rules of the project
    wanted = [yesterday + dt.timedelta(days=7)]
    for each in Fan.objects.all():
        assert due_days(each, after_event.number) == wanted


def test_cleaning_when_told_before_the_look_then_asked_for_on_it_and_settled_by_it(
    phone: Page, link: Link, fan: Fan
) -> None:
    open_label(phone, fan)
    link.is_down = True
    tell_cleaning(phone, "today")
    phone.get_by_role("button", name="Keep and send").click()
    begin(phone)
    look(phone)
    go(phone, fan, "leave")
    for what in ("running", "rotation"):
        first = phone.locator(f"[data-field={what}] button").first
        if first.get_attribute("aria-pressed") == "false":
            first.click()
    go(phone, fan, "sum")
    phone.get_by_role("button", name="Keep and send").click()
    expect_line(phone, "2 records unsent")
    link.is_down = False
    try_now(phone)
    expect(phone.locator(".line")).to_have_text(SENT)
    assert Event.objects.get().ended_minute is not None
    assert due_days(fan, after_event.number) == []
    assert len(due_days(Fan.objects.get(tag="EF-2"), after_event.number)) == 1


def test_cleaning_when_its_day_is_not_known_then_between_the_last_visit_and_now(
    phone: Page, fan: Fan
) -> None:
    open_label(phone, fan)
    tell_cleaning(phone, "not known")
    phone.get_by_role("button", name="Keep and send").click()
    expect(phone.locator(".line")).to_have_text(SENT)
    event = Event.objects.get()
    assert (event.ended_on - event.started_on).days in (29, 30, 31)
    assert "Day not known" in event.note


def test_happening_when_put_right_then_one_stands(phone: Page, fan: Fan) -> None:
    open_label(phone, fan)
    tell_cleaning(phone, "yesterday")
    phone.get_by_role("button", name="Keep and send").click()
    expect(phone.locator(".line")).to_have_text(SENT)
    open_kept(phone)
    phone.get_by_role("button", name="Put right").click()
    phone.get_by_role("button", name="Storm").click()
    phone.get_by_role("button", name="Typed wrong").click()
    phone.get_by_role("button", name="Keep and send").click()
    expect(phone.locator(".line")).to_have_text(SENT)
    expect(phone.locator("main")).to_contain_text("Storm, ")
    event = Event.objects.standing().get()
    assert (event.kind, event.system, Event.objects.count()) == ("storm", None, 2)


def find(page: Page, fan: Fan, what: str, answer: str) -> None:
    """A look that finds the curb tight or leaking, with a finding on it."""
    begin(page)
    page.locator(f"[data-field={what}] [data-code={answer}]").click()
    page.locator(f"[data-field={what}]").get_by_role("button", name="Say more").click()
    expect(page.locator(".finding")).to_have_count(1)


def send(page: Page, fan: Fan) -> None:
    go(page, fan, "sum")
    page.get_by_role("button", name="Keep and send").click()
    expect(page.locator(".line")).to_have_text(SENT)


def test_finding_when_it_lasts_then_brings_nobody_back(phone: Page, fan: Fan) -> None:
    open_label(phone, fan)
    find(phone, fan, "hinge", "none")
    phone.get_by_role("button", name="yes, nobody will change it").click()
    send(phone, fan)
    assert (Finding.objects.get().lasting, Check.objects.get().lasting) == (True, ["hinge"])
    assert due_days(fan, follow_up.number) == []


def test_finding_when_looked_at_again_by_a_day_then_due_on_that_day(phone: Page, fan: Fan) -> None:
    open_label(phone, fan)
    find(phone, fan, "hinge", "none")
    phone.get_by_role("button", name="1 week").click()
    send(phone, fan)
    finding = Finding.objects.get()
    wanted = finding.visit.local_on + dt.timedelta(days=7)
    assert (finding.recheck_on, due_days(fan, follow_up.number)) == (wanted, [wanted])
