"""A visit put right on the phone: one visit stands, its dates are reckoned anew, none is lost."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path
from uuid import uuid4

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, Page, expect

from fleet.models import Fan, Person
from schedules.due.answers import read_answer
from schedules.engine import follow_up
from schedules.models import DueState
from tests.people import sign_in
from tests.phone.earlier import earlier_visit
from tests.phone.killed import own_chromium
from tests.phone.link import Link
from tests.phone.walks import (
    SENT,
    begin,
    expect_line,
    go,
    open_kept,
    open_label,
    try_now,
    wait_for_worker,
    walk,
)
from tests.visits.roofs import check, visit
from visits.models import Check, Recommendation, Visit
from visits.services import record_visit

pytestmark = [pytest.mark.browser, pytest.mark.once, pytest.mark.django_db(transaction=True)]
BODY = """() => new Promise((resolve) => {
    indexedDB.databases().then((all) => {
        const name = all.map((each) => each.name).find((each) => /^round-[0-9]/.test(each));
        indexedDB.open(name).onsuccess = ({ target: { result } }) => {
            result.transaction('queue').objectStore('queue').getAll().onsuccess =
                ({ target }) => resolve(target.result[0].body);
        };
    });
})"""
BATCH = "/api/v1/visits/batch"


def loosen_hinge(page: Page, fan: Fan) -> None:
    """What was missed at first, once the visit is open."""
    expect(page.locator(".steps [aria-current]")).to_have_text("Summary")
    go(page, fan, "look")
    page.locator("[data-field=hinge] [data-code=loose]").click()
    go(page, fan, "sum")


def give_reason_and_send(page: Page) -> None:
    page.get_by_role("button", name="Something was left out").click()
    page.get_by_role("button", name="Keep and send").click()
    expect(page.locator("h1")).to_have_text("Kept and sent")


def follow_ups(fan: Fan) -> list[dt.date]:
    """Days by which what was found is looked at again, as stored."""
    dates, _ = read_answer(DueState.objects.get(fan=fan).dates)
    return [dt.date.fromordinal(each.due_day) for each in dates if each.rule == follow_up.number]


def standing() -> Visit:
    """The one visit that no correction replaced."""
    return Visit.objects.standing().get()


def test_visit_when_put_right_offline_then_one_stands_and_its_dates_are_reckoned_anew(
    phone: Page, link: Link, fan: Fan
) -> None:
    open_label(phone, fan)
    walk(phone)
    expect(phone.locator(".line")).to_have_text(SENT)
    first, before = Visit.objects.get(), follow_ups(fan)
    link.is_down = True
    phone.get_by_role("button", name="Put right").click()
    loosen_hinge(phone, fan)
    phone.get_by_role("button", name="Keep and send").click()
    expect(phone.locator("main [role=alert]")).to_have_text("Say first what was wrong.")
    phone.reload()
    give_reason_and_send(phone)
    expect_line(phone, "1 record unsent")
    link.is_down = False
    try_now(phone)
    expect(phone.locator(".line")).to_have_text(SENT)
    expect(phone.locator("main")).to_contain_text("EF-1 was put right")
    new = standing()
    assert (new.supersedes, new.correction_reason) == (first, "Something was left out")
    assert (new.began_at, new.ended_at) == (first.began_at, first.ended_at)
    assert new.checks.get().hinge == "loose"
    # a watch is looked at again after 30 days: our choice, the rules of the project
    assert (before, follow_ups(fan)) == ([], [new.local_on + dt.timedelta(days=30)])


def test_visit_when_put_right_before_it_was_sent_then_the_record_itself_is_another(
    phone: Page, link: Link, fan: Fan
) -> None:
    open_label(phone, fan)
    link.is_down = True
    walk(phone)
    phone.locator("main a.wide").click()
    phone.get_by_role("button", name="Open and put right").click()
    loosen_hinge(phone, fan)
    phone.get_by_role("button", name="Keep and send").click()
    expect_line(phone, "1 record unsent")
    link.is_down = False
    try_now(phone)
    expect(phone.locator(".line")).to_have_text(SENT)
    assert (Visit.objects.get().supersedes, Check.objects.get().hinge) == (None, "loose")


def test_visit_when_open_again_then_not_sent_as_it_was_beside_that(
    phone: Page, link: Link, fan: Fan
) -> None:
    open_label(phone, fan)
    link.is_down = True
    walk(phone)
    phone.locator("main a.wide").click()
    expect(phone.get_by_role("button", name="Send again as it is")).to_have_count(1)
    phone.get_by_role("button", name="Open and put right").click()
    loosen_hinge(phone, fan)
    open_kept(phone)
    phone.locator("main a.wide").click()
    expect(phone.get_by_role("button", name="Open and put right")).to_have_count(1)
    expect(phone.get_by_role("button", name="Send again as it is")).to_have_count(0)


def test_visit_when_its_id_is_there_with_other_words_then_put_right_by_a_correction(
    phone: Page, link: Link, fan: Fan, theo: Person
) -> None:
    open_label(phone, fan)
    link.is_down = True
    walk(phone)
    theirs = json.loads(phone.evaluate(BODY))
    now = timezone.now()
    first = record_visit(payload={**theirs, "notes": "As it was"}, by=theo, now=now).visit
    link.is_down = False
    try_now(phone)
    expect_line(phone, "1 needs you")
    phone.locator("main a.wide").click()
    phone.get_by_role("button", name="Open and put right").click()
    loosen_hinge(phone, fan)
    give_reason_and_send(phone)
    expect(phone.locator(".line")).to_have_text(SENT)
    assert (standing().supersedes, standing().checks.get().hinge) == (first, "loose")


def test_visit_when_nobody_knows_whether_it_arrived_then_put_right_by_a_correction(
    phone: Page, link: Link, fan: Fan
) -> None:
    open_label(phone, fan)
    link.drop_each = 1  # the first is lost, of the second its answer
    walk(phone)
    while BATCH not in link.posts:
        phone.wait_for_timeout(50)
    link.is_down = True
    phone.locator("main a.wide").click()
    phone.get_by_role("button", name="Open and put right").click()
    loosen_hinge(phone, fan)
    give_reason_and_send(phone)
    link.is_down, link.drop_each = False, 0
    try_now(phone)
    expect(phone.locator(".line")).to_have_text(SENT)
    assert (Visit.objects.count(), standing().checks.get().hinge) == (2, "loose")


def test_visit_when_corrected_elsewhere_meanwhile_then_told_and_put_on_top_of_that(
    phone: Page, link: Link, fan: Fan, dana: Person
) -> None:
    open_label(phone, fan)
    walk(phone)
    expect(phone.locator(".line")).to_have_text(SENT)
    link.is_down = True
    phone.get_by_role("button", name="Put right").click()
    loosen_hinge(phone, fan)
    give_reason_and_send(phone)
    theirs = correct_elsewhere(Visit.objects.get(), dana)
    link.is_down = False
    try_now(phone)
    expect_line(phone, "1 needs you")
    phone.locator("main a.wide").click()
    expect(phone.locator("main .warning")).to_contain_text("put right by somebody else meanwhile")
    expect(phone.locator("main .warning")).to_contain_text("dana")
    phone.get_by_role("button", name="Open and put right").click()
    phone.get_by_role("button", name="Keep and send").click()
    expect(phone.locator(".line")).to_have_text(SENT)
    assert (standing().supersedes, standing().checks.get().hinge) == (theirs, "loose")


def test_finding_when_its_severity_is_put_right_then_its_verdict_is_that_of_the_new_one(
    phone: Page, fan: Fan, theo: Person
) -> None:
    found = {
        "id": str(uuid4()), "fan": "EF-1", "subject": "curb", "severity": "degraded",
        "verdict": "watch",
    }  # fmt: skip
    earlier_visit(theo, findings=[found])
    open_label(phone, fan)
    phone.get_by_role("button", name="Put right").click()
    expect(phone.locator(".steps [aria-current]")).to_have_text("Summary")
    go(phone, fan, "tell")
    phone.locator(".finding [data-code=critical]").first.click()
    go(phone, fan, "sum")
    give_reason_and_send(phone)
    expect(phone.locator(".line")).to_have_text(SENT)
    assert standing().findings.get().verdict == "stop"


def test_finding_when_dropped_elsewhere_meanwhile_then_stands_anew(
    phone: Page, link: Link, fan: Fan, theo: Person, dana: Person
) -> None:
    found = {"id": str(uuid4()), "fan": "EF-1", "subject": "curb", "severity": "degraded"}
    old = earlier_visit(theo, findings=[found])
    open_label(phone, fan)
    link.is_down = True
    phone.get_by_role("button", name="Put right").click()
    loosen_hinge(phone, fan)
    give_reason_and_send(phone)
    theirs = correct_elsewhere(old, dana)
    link.is_down = False
    try_now(phone)
    for row, told in (
        ("Put right by somebody else meanwhile", "look at theirs"),
        ("Not taken", "this id is taken"),
    ):
        expect(phone.locator("main li b")).to_contain_text(row)
        phone.locator("main a.wide").click()
        expect(phone.locator("main .warning")).to_contain_text(told)
        phone.get_by_role("button", name="Open and put right").click()
        phone.get_by_role("button", name="Keep and send").click()
    expect(phone.locator(".line")).to_have_text(SENT)
    assert (standing().supersedes, standing().findings.get().subject) == (theirs, "curb")


def correct_elsewhere(old: Visit, by: Person) -> Visit:
    payload = visit(check(seen={"hinge": "sound"})) | {
        "began_at": old.began_at.isoformat(), "supersedes": str(old.pk),
        "correction_reason": "The other fan",
    }  # fmt: skip
    return record_visit(payload=payload, by=by, now=timezone.now()).visit


def test_visit_when_ones_own_of_the_record_then_put_right_with_all_it_said(
    phone: Page, link: Link, fan: Fan, theo: Person
) -> None:
    advice = {"id": str(uuid4()), "fan": "EF-1", "subject": "hinge", "text": "New pins."}
    earlier_visit(theo, recommendations=[advice], notes="Two of us.")
    open_label(phone, fan)
    link.is_down = True
    phone.get_by_role("button", name="Put right").click()
    loosen_hinge(phone, fan)
    give_reason_and_send(phone)
    link.is_down = False
    try_now(phone)
    expect(phone.locator(".line")).to_have_text(SENT)
    new = standing()
    found = new.checks.get()
    assert (found.hinge, found.speed_rpm, found.notes) == ("loose", 880, "Wet roof")
    assert (new.notes, new.technician) == ("Two of us.", theo)
    assert Recommendation.objects.filter(visit=new).get().text == "New pins."


def test_visit_when_of_another_kind_and_day_then_moved_whole(
    phone: Page, fan: Fan, theo: Person
) -> None:
    began = timezone.now().replace(second=0, microsecond=0) - dt.timedelta(days=3)
    ended = began + dt.timedelta(hours=1)
    old = earlier_visit(theo, ended_at=ended.isoformat())
    open_label(phone, fan)
    phone.get_by_role("button", name="Put right").click()
    phone.get_by_label("Kind of visit").select_option("service_call")
    local = (old.began_at - dt.timedelta(days=1)).astimezone(old.site.zone)
    phone.get_by_label("Arrived").fill(f"{local:%Y-%m-%dT%H:%M}")
    phone.get_by_label("Arrived").blur()
    give_reason_and_send(phone)
    expect(phone.locator(".line")).to_have_text(SENT)
    new = standing()
    assert (new.kind, old.local_on - new.local_on) == ("service_call", dt.timedelta(days=1))
    assert new.ended_at
    assert dt.timedelta(0) < new.ended_at - new.began_at < dt.timedelta(hours=2)


def test_visit_when_somebody_elses_then_not_put_right_here(
    phone: Page, fan: Fan, dana: Person
) -> None:
    earlier_visit(dana)
    open_label(phone, fan)
    expect(phone.locator("main")).to_contain_text("Last visits (1)")
    expect(phone.get_by_role("button", name="Put right")).to_have_count(0)


def test_visit_when_another_is_begun_there_then_that_one_is_finished_first(
    phone: Page, link: Link, fan: Fan
) -> None:
    open_label(phone, fan)
    walk(phone)
    expect(phone.locator(".line")).to_have_text(SENT)
    go(phone, fan)
    begin(phone)
    go(phone, fan, "tell")
    phone.get_by_label("Note").fill("Lid bent")
    open_kept(phone)
    phone.get_by_role("button", name="Put right").click()
    expect(phone.locator("main")).to_contain_text("Something else is begun at this fan")
    phone.reload()
    go(phone, fan, "tell")
    expect(phone.get_by_label("Note")).to_have_value("Lid bent")


def test_correction_when_browser_is_killed_then_every_word_is_back(
    chromium: Browser, link: Link, fan: Fan, theo: Person, tmp_path: Path
) -> None:
    earlier_visit(theo)
    with own_chromium(chromium, tmp_path) as (page, process):
        sign_in(page, theo)
        page.goto(f"{link.address}/round/fan/{fan.pk}/")
        wait_for_worker(page)
        page.get_by_role("button", name="Put right").click()
        expect(page.locator(".steps [aria-current]")).to_have_text("Summary")
        page.get_by_label("What was wrong").last.press_sequentially("Other fa")
        page.wait_for_timeout(400)  # a hand that types no faster: the disk has had its turn
        process.kill()
    link.is_down = True
    with own_chromium(chromium, tmp_path) as (page, _):
        page.goto(f"{link.address}/round/fan/{fan.pk}/")
        page.get_by_role("button", name="Put right").click()
        expect(page.get_by_label("What was wrong").last).to_have_value("Other fa")
