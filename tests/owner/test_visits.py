"""A yes or no by link to a visit beyond those bought: recorded once, told, and what it moves."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from fleet.models import Agreement, Person
from fleet.services.links import make_link
from schedules.models import DueState, Notice
from schedules.notices.addressees import working_day_from
from schedules.notices.overdue.gathering import overdue_letters
from schedules.services import log_visit
from schedules.wording import day_text
from tests.owner.answers import NAME, hidden_page, said
from tests.owner.conftest import ADDRESS, TODAY, Kitchen, opened
from tests.people import signed_in
from tests.visits.roofs import WITHIN, check, visit
from visits.models import VisitAnswer

STARTS = TODAY - dt.timedelta(days=100)


@pytest.fixture(autouse=True)
def beyond(kitchen: Kitchen) -> None:
    """The one visit bought is made, and both fans are overdue."""
    Agreement.objects.create(owner=kitchen.owner, starts_on=STARTS, visits_per_year=1)
    past = TODAY - dt.timedelta(days=9)
    DueState.objects.filter(site=kitchen.site).update(due_on=past, overdue_after=past)


def address(kitchen: Kitchen) -> str:
    return f"/o/visits/{kitchen.site.pk}/"


def say(
    browser: Client, kitchen: Kitchen, answer: str = "go_ahead", page: str = "", **w: str
) -> Any:
    """Press the button on a page just opened, or on one opened before."""
    page = page or hidden_page(browser.get(address(kitchen)))
    return browser.post(address(kitchen), {"answer": answer, "name": NAME, "page": page, **w})


def part(page: str, heading: str, following: str) -> str:
    return page.partition(heading)[2].partition(following)[0]


def test_answer_then_recorded_with_what_was_shown(browser: Client, kitchen: Kitchen) -> None:
    shown = said(browser.get(address(kitchen)))
    say(browser, kitchen, note="after 3 pm")
    row = VisitAnswer.objects.get()
    assert (row.site, row.year_on, row.number, row.answer) == (kitchen.site, STARTS, 2, "go_ahead")
    assert (row.decided_by, row.decided_on, row.link, row.note) == (
        NAME, TODAY, kitchen.link, "after 3 pm",
    )  # fmt: skip
    lines = [line.partition(": ")[2] for line in row.shown.splitlines()]
    assert [line for line in lines if " ".join(line.split()) not in shown] == []
    assert "The one visit bought for the year from" in row.shown
    assert "EF-2: Overdue by 9 days." in row.shown


def test_yes_then_the_visit_is_ours_to_make(
    browser: Client, kitchen: Kitchen, dana: Person
) -> None:
    say(browser, kitchen, note="after 3 pm")
    page = said(browser.get("/o/"))
    owe = part(page, "We owe you", "What you answered")
    assert ("EF-2" in owe, f"You said yes to this visit on {day_text(TODAY)}." in owe) == (
        True, True,
    )  # fmt: skip
    assert "One more visit" not in part(page, "We need from you", "We owe you")
    for path in ("/", f"/fans/{kitchen.fan.pk}/", f"/sites/{kitchen.site.pk}/"):
        words = f"Alder Kitchens said yes on {day_text(TODAY)} to this visit beyond those bought"
        assert f"{words} ({NAME}). “after 3 pm”" in said(signed_in(dana).get(path))


def letters(kitchen: Kitchen) -> list[Any]:
    """What the weekly letter says at noon of the next working day."""
    noon = dt.datetime.combine(working_day_from(TODAY, "US"), dt.time(12), kitchen.site.zone)
    return [each.words().text for each in overdue_letters(noon)]


def test_no_then_neither_asked_nor_owed_and_the_weekly_letter_is_silent(
    browser: Client, kitchen: Kitchen, dana: Person
) -> None:
    before = letters(kitchen)
    say(browser, kitchen, "declined")
    page = said(browser.get("/o/"))
    asked = part(page, "We need from you", "Your kitchens").partition("What you answered")
    assert "EF-2" not in asked[0]
    assert "No to one more visit (number 2 in the year from" in asked[2]
    assert (len(before), letters(kitchen)) == (1, [])
    words = f"Alder Kitchens said no on {day_text(TODAY)} to this visit beyond those bought"
    assert f"{words} ({NAME})." in said(signed_in(dana).get("/"))


def test_no_when_a_fan_is_at_a_stop_then_the_weekly_letter_still_names_it(
    browser: Client, kitchen: Kitchen
) -> None:
    log(kitchen, check("EF-2", seen={**WITHIN, "guard": "off"}), kind="service_call")
    past = TODAY - dt.timedelta(days=9)
    DueState.objects.filter(site=kitchen.site).update(due_on=past, overdue_after=past)
    say(browser, kitchen, "declined")
    (letter,) = letters(kitchen)
    assert ("EF-2" in letter, "EF-1: overdue" in letter) == (True, False)
    assert "You said no to one more visit on" in letter


def log(kitchen: Kitchen, *checks: Any, **parts: Any) -> None:
    """A visit of yesterday."""
    place = {"owner": kitchen.owner.name, "site": kitchen.site.name}
    payload = {**visit(*checks, on=f"{TODAY - dt.timedelta(days=1)}T10:00"), **place, **parts}
    log_visit(payload=payload, by=None, now=timezone.now())


def test_yes_when_the_visit_is_made_then_the_next_one_is_asked_anew(
    browser: Client, kitchen: Kitchen
) -> None:
    say(browser, kitchen)
    log(kitchen, check(seen=WITHIN), check("EF-2", seen=WITHIN))
    past = TODAY - dt.timedelta(days=9)
    DueState.objects.filter(site=kitchen.site).update(due_on=past, overdue_after=past)
    page = said(browser.get("/o/"))
    assert "May we come once more?" in part(page, "We need from you", "We owe you")
    say(browser, kitchen)
    assert list(VisitAnswer.objects.values_list("number", flat=True)) == [2, 3]


def test_question_then_told_to_the_dispatcher_and_still_asked(
    browser: Client, kitchen: Kitchen, office: Person
) -> None:
    say(browser, kitchen, "question", note="What does it cost?")
    letter = Notice.objects.get(person=office)
    assert (letter.kind, "What does it cost?" in letter.text) == ("told", True)
    need = part(said(browser.get("/o/")), "We need from you", "We owe you")
    assert "You asked: A question about one more visit (number 2 in" in need


@pytest.mark.parametrize(
    ("answer", "subject"), [("go_ahead", "Yes to one more visit"), ("declined", "No to one more")]
)
def test_answer_then_confirmed_to_the_owner_and_told_to_the_dispatcher(
    browser: Client, kitchen: Kitchen, office: Person, answer: str, subject: str
) -> None:
    receipt = said(browser.get(say(browser, kitchen, answer).headers["Location"]))
    rows = {(n.kind, n.address, n.subject.startswith(subject)) for n in Notice.objects.all()}
    assert rows == {("decided", ADDRESS, True), ("decided", office.email, True)}
    assert f"confirmation goes to {ADDRESS}" in receipt
    assert kitchen.site.name in Notice.objects.first().subject


def test_answer_given_anew_then_the_last_counts(browser: Client, kitchen: Kitchen) -> None:
    say(browser, kitchen, "declined")
    say(browser, kitchen)
    page = said(browser.get(address(kitchen)))
    assert page.count("Replaced by a later answer.") == 1
    assert "EF-2" in part(said(browser.get("/o/")), "We owe you", "What you answered")


def test_answer_when_the_button_is_pressed_twice_then_once(
    browser: Client, kitchen: Kitchen
) -> None:
    page = hidden_page(browser.get(address(kitchen)))
    sent = [say(browser, kitchen, page=page).headers["Location"] for _ in range(2)]
    assert (len(set(sent)), VisitAnswer.objects.count(), Notice.objects.count()) == (1, 1, 1)


def test_answer_when_two_tabs_answer_then_the_later_is_told_first(
    browser: Client, kitchen: Kitchen
) -> None:
    one, two = (hidden_page(browser.get(address(kitchen))) for _ in range(2))
    say(browser, kitchen, page=one)
    response = say(browser, kitchen, "declined", page=two)
    assert (response.status_code, VisitAnswer.objects.get().answer) == (409, "go_ahead")
    assert "answered since you opened the page" in said(response)


def test_answer_when_no_visit_waits_any_more_then_told_and_nothing_recorded(
    browser: Client, kitchen: Kitchen
) -> None:
    page = hidden_page(browser.get(address(kitchen)))
    Agreement.objects.update(visits_per_year=4)
    response = say(browser, kitchen, page=page)
    assert (response.status_code, VisitAnswer.objects.count()) == (409, 0)
    assert "no visit there waits for your yes any more" in said(response)
    assert "No visit there waits for your yes now." in said(browser.get(address(kitchen)))


@pytest.mark.parametrize(
    ("told", "complaint"),
    [
        ({"answer": ""}, "Choose one of the three"),
        ({"answer": "not_now"}, "Choose one of the three"),
        ({"answer": "question"}, "Write your question here"),
        ({"name": " "}, "Type your name"),
    ],
)
def test_answer_when_something_is_wrong_then_told_and_nothing_recorded(
    browser: Client, kitchen: Kitchen, told: dict[str, str], complaint: str
) -> None:
    response = say(browser, kitchen, **told)
    assert (response.status_code, VisitAnswer.objects.count()) == (422, 0)
    assert complaint in said(response)


def test_answer_by_strangers_then_nothing_recorded(
    browser: Client, kitchen: Kitchen, other: Kitchen
) -> None:
    page = hidden_page(browser.get(address(kitchen)))
    second = opened(make_link(owner=kitchen.owner, now=timezone.now()))
    codes = [
        opened(other.link).get(address(kitchen)).status_code,
        say(opened(other.link), kitchen, page=page).status_code,
        say(second, kitchen, page=page).status_code,
        say(browser, kitchen, page="made up").status_code,
        browser.put(address(kitchen), {"answer": "go_ahead"}).status_code,
    ]
    assert (codes, VisitAnswer.objects.count()) == ([404, 404, 409, 409, 405], 0)


def test_receipt_of_another_owner_then_nowhere(
    browser: Client, kitchen: Kitchen, other: Kitchen
) -> None:
    receipt = say(browser, kitchen).headers["Location"]
    assert opened(other.link).get(receipt).status_code == 404


def test_answer_by_phone_when_a_planner_notes_it_then_the_same_record_and_letters(
    kitchen: Kitchen, dana: Person
) -> None:
    desk, words = signed_in(dana), {"answer": "go_ahead", "name": NAME, "note": "by phone"}
    site = f"/sites/{kitchen.site.pk}/"
    assert "They said yes or no to one more visit" in said(desk.get(site))
    shown = said(desk.post(f"{site}visit-answer", words, follow=True))
    assert ("Recorded" in shown, "They said yes or no" in shown) == (True, False)
    assert f"Yes to one more visit (number 2 in the year from {day_text(STARTS)})" in shown
    row, letter = VisitAnswer.objects.get(), Notice.objects.get(address=ADDRESS)
    assert (row.number, row.recorded_by, row.link) == (2, dana, None)
    assert f"Told to us by {NAME}, noted by" in letter.text
    again = said(desk.post(f"{site}visit-answer", words, follow=True))
    assert ("Nothing was recorded" in again, VisitAnswer.objects.count()) == (True, 1)


def test_answer_by_phone_when_something_is_wrong_or_others_note_it_then_nothing_recorded(
    kitchen: Kitchen, dana: Person, theo: Person
) -> None:
    path, words = f"/sites/{kitchen.site.pk}/visit-answer", {"answer": "go_ahead", "name": NAME}
    told = said(signed_in(dana).post(path, {"answer": "maybe", "name": ""}, follow=True))
    assert ("Choose yes or no." in told, "Type who said so" in told) == (True, True)
    assert signed_in(theo).post(path, words).status_code == 404
    assert VisitAnswer.objects.count() == 0
