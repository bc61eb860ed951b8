"""An owner's answer by link: recorded once, with what was shown, moving dates as the rules say."""

from __future__ import annotations

import datetime as dt
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.utils import timezone

from fleet.models import Agreement, Owner, Person
from fleet.services.links import make_link
from schedules.answering import next_text
from schedules.due.answers import read_answer
from schedules.engine.codes import STOP
from schedules.models import DueState, Notice
from schedules.services import log_decision, log_visit
from schedules.wording import day_text
from tests.owner.answers import NAME, answer, page_of, said
from tests.owner.conftest import ADDRESS, SEEN_ON, TODAY, Kitchen, opened
from tests.people import signed_in
from tests.visits.roofs import WITHIN, check, visit
from visits.models import Decision, Recommendation

SOON = str(TODAY + dt.timedelta(days=40))


def follow_up_due(kitchen: Kitchen) -> dt.date:
    """The day of rule 6."""
    dates = read_answer(DueState.objects.get(fan=kitchen.fan).dates)[0]
    return next(dt.date.fromordinal(told.due_day) for told in dates if told.rule == 6)


@pytest.mark.parametrize(
    ("told", "stored"),
    [
        ({"answer": "go_ahead"}, ("go_ahead", None, "")),
        ({"answer": "go_ahead", "note": "after 3 pm"}, ("go_ahead", None, "after 3 pm")),
        ({"answer": "not_now", "not_before": SOON}, ("not_now", SOON, "")),
        ({"answer": "declined"}, ("declined", None, "")),
        (
            {"answer": "question", "note": "Why?\r\nAnd when?"},
            ("question", None, "Why?\nAnd when?"),
        ),
    ],
)
def test_answer_when_given_then_recorded_under_the_typed_name(
    browser: Client, kitchen: Kitchen, told: dict[str, str], stored: tuple[Any, ...]
) -> None:
    answer(browser, kitchen, **told)
    row = Decision.objects.get()
    until = str(row.not_before) if row.not_before else None
    assert (row.answer, until, row.note) == stored
    assert (row.decided_by, row.decided_on, row.link) == (NAME, TODAY, kitchen.link)


def test_answer_then_the_exact_text_shown_is_kept(browser: Client, kitchen: Kitchen) -> None:
    shown = said(browser.get(kitchen.address))
    answer(browser, kitchen)
    kept = Decision.objects.get().shown
    assert "We advise: Replace the hinge before it lets the fan fall." in kept
    assert "About 480 USD." in kept
    lines = [line.partition(": ")[2] for line in kept.splitlines()]
    assert [line for line in lines if " ".join(line.split()) not in shown] == []


def test_answer_when_declined_then_the_days_double(browser: Client, kitchen: Kitchen) -> None:
    # rules.md C 6: watch 30 d, after "declined" the days double.
    before = follow_up_due(kitchen)
    answer(browser, kitchen, answer="declined")
    days = dt.timedelta(days=30)
    assert (before, follow_up_due(kitchen)) == (SEEN_ON + days, SEEN_ON + 2 * days)


@pytest.mark.parametrize(
    ("answers", "days"),
    [
        (("declined", "go_ahead"), 30),
        (("declined", "not_now"), 30),
        (("go_ahead", "declined"), 60),
        (("declined", "question"), 60),
        (("declined", "go_ahead", "declined"), 60),
    ],
)
def test_answers_when_several_of_one_day_then_the_last_moves_the_date(
    browser: Client, kitchen: Kitchen, answers: tuple[str, ...], days: int
) -> None:
    for each in answers:
        until = {"not_before": SOON} if each == "not_now" else {}
        answer(browser, kitchen, answer=each, note="why?", **until)
    assert follow_up_due(kitchen) == SEEN_ON + dt.timedelta(days=days)


def test_answer_then_the_same_dates_as_by_the_api(
    browser: Client, kitchen: Kitchen, other: Kitchen
) -> None:
    answer(browser, kitchen, answer="declined")
    told = {"id": str(uuid4()), "recommendation": str(other.advice.pk), "answer": "declined",
            "on": str(TODAY)}  # fmt: skip
    log_decision(payload=told, by=None, now=timezone.now())
    rows = DueState.objects.in_bulk([kitchen.fan.pk, other.fan.pk])
    assert bytes(rows[kitchen.fan.pk].dates or b"") == bytes(rows[other.fan.pk].dates or b"")


def test_answer_then_a_receipt_says_what_happens_next(browser: Client, kitchen: Kitchen) -> None:
    sent = answer(browser, kitchen, answer="not_now", not_before=SOON)
    receipt = said(browser.get(sent.headers["Location"]))
    assert sent.status_code == 302
    assert "Your answer is recorded" in receipt
    assert f"confirmation goes to {ADDRESS}" in receipt


@pytest.mark.parametrize(
    ("days", "told"), [(-1, "has been due since"), (0, "is due"), (1, "is due")]
)
def test_next_visit_when_its_day_has_passed_then_no_day_to_come(days: int, told: str) -> None:
    given = Decision(answer="go_ahead", decided_on=TODAY)
    due = DueState(due_on=TODAY + dt.timedelta(days=days))
    assert f" {told} {day_text(TODAY + dt.timedelta(days=days))}." in next_text(given, due)


@pytest.mark.parametrize(("said", "stays"), [("declined", True), ("go_ahead", False)])
def test_next_when_a_repair_is_refused_at_a_stop_then_the_fan_stays_off(
    said: str, stays: bool
) -> None:
    given = Decision(answer=said, decided_on=TODAY)
    told = next_text(given, DueState(due_on=TODAY, worst_verdict=STOP))
    assert ("it stays off until qualified people" in told) == stays


def test_answer_then_confirmed_to_the_owner_and_told_to_the_dispatcher(
    browser: Client, kitchen: Kitchen, office: Person
) -> None:
    answer(browser, kitchen)
    letters = {(n.kind, n.address, n.owner_id, n.person_id) for n in Notice.objects.all()}
    assert letters == {
        ("decided", ADDRESS, kitchen.owner.pk, None),
        ("decided", office.email, None, office.pk),
    }


def test_confirmation_then_says_what_who_when_and_next(browser: Client, kitchen: Kitchen) -> None:
    answer(browser, kitchen, answer="declined")
    letter = Notice.objects.get()
    assert letter.subject == (
        f"Declined: EF-1 at {kitchen.site.name}, the hinge on which the fan is tipped"
    )
    parts = [NAME, "We advise: Replace the hinge", "looked at again", "due since"]
    assert [part for part in parts if part not in letter.text] == []


def test_question_then_reaches_the_dispatcher(
    browser: Client, kitchen: Kitchen, office: Person
) -> None:
    answer(browser, kitchen, answer="question", note="Does it squeal?")
    letter = Notice.objects.get(person=office)
    assert (letter.kind, "Does it squeal?" in letter.text) == ("told", True)


def test_question_then_the_advice_still_waits(browser: Client, kitchen: Kitchen) -> None:
    answer(browser, kitchen, answer="question", note="Does it squeal?")
    page = said(browser.get("/o/"))
    assert "You asked: A question: “Does it squeal?”" in page
    assert "What you answered" not in page


def test_answer_then_stands_on_the_fan_s_page(
    browser: Client, kitchen: Kitchen, dana: Person
) -> None:
    answer(browser, kitchen, note="after 3 pm")
    words = said(signed_in(dana).get(f"/fans/{kitchen.fan.pk}/"))
    assert "Hinge: go ahead; by the owner's link; “after 3 pm”." in words.replace("’", "'")
    assert NAME in words


@pytest.mark.parametrize(
    ("told", "complaint"),
    [
        ({"name": ""}, "Type your name"),
        ({"name": " \r\n "}, "Type your name"),
        ({"name": "..."}, "Type your name"),
        ({"name": "A\u202eB"}, "hidden character, U+202E"),
        ({"name": "x" * 121}, "at most 120 characters"),
        ({"answer": ""}, "Choose one of the four"),
        ({"answer": "maybe"}, "Choose one of the four"),
        ({"answer": "not_now"}, "Choose the day until which we wait"),
        ({"answer": "not_now", "not_before": "soon"}, "Write a day"),
        ({"answer": "not_now", "not_before": str(TODAY)}, "no day between tomorrow and"),
        ({"answer": "not_now", "not_before": "2099-01-01"}, "no day between tomorrow and"),
        ({"answer": "go_ahead", "not_before": SOON}, "goes with “Not now” only"),
        ({"answer": "question"}, "Write your question here"),
        ({"answer": "question", "note": "a\u200bb"}, "hidden character, U+200B"),
        ({"answer": "question", "note": "x" * 2001}, "at most 2000 characters"),
    ],
)
def test_answer_when_something_is_wrong_then_told_and_nothing_recorded(
    browser: Client, kitchen: Kitchen, told: dict[str, str], complaint: str
) -> None:
    response = answer(browser, kitchen, **told)
    assert (response.status_code, Decision.objects.count(), Notice.objects.count()) == (422, 0, 0)
    assert complaint in said(response)


def test_answer_when_a_fault_was_mended_then_the_same_page_is_taken(
    browser: Client, kitchen: Kitchen
) -> None:
    page = page_of(browser, kitchen)
    answer(browser, kitchen, page, name="")
    assert answer(browser, kitchen, page).status_code == 302


def test_answer_when_the_button_is_pressed_twice_then_once(
    browser: Client, kitchen: Kitchen
) -> None:
    page = page_of(browser, kitchen)
    first, second = (answer(browser, kitchen, page) for _ in range(2))
    assert first.headers["Location"] == second.headers["Location"]
    assert (Decision.objects.count(), Notice.objects.count()) == (1, 1)


def test_answer_when_another_comes_from_the_same_page_then_told(
    browser: Client, kitchen: Kitchen
) -> None:
    page = page_of(browser, kitchen)
    answer(browser, kitchen, page)
    response = answer(browser, kitchen, page, answer="declined")
    assert (response.status_code, Decision.objects.get().answer) == (409, "go_ahead")
    assert "this page has given its answer" in said(response)


def test_answer_when_two_tabs_answer_then_the_later_is_told_first(
    browser: Client, kitchen: Kitchen
) -> None:
    one, two = page_of(browser, kitchen), page_of(browser, kitchen)
    answer(browser, kitchen, one)
    response = answer(browser, kitchen, two, answer="declined")
    assert (response.status_code, Decision.objects.count()) == (409, 1)
    assert "answered since you opened the page" in said(response)


def test_answer_when_given_anew_then_replaces_the_first_visibly(
    browser: Client, kitchen: Kitchen, dana: Person
) -> None:
    answer(browser, kitchen)
    answer(browser, kitchen, answer="declined")
    page = said(browser.get(kitchen.address))
    assert "Go ahead. (A. Reyes" in page
    assert page.count("Replaced by a later answer.") == 1
    assert Recommendation.objects.get(pk=kitchen.advice.pk).answer.answer == "declined"
    words = said(signed_in(dana).get(f"/fans/{kitchen.fan.pk}/"))
    assert words.count("replaced by a later answer") == 2  # in the advice's line and as an entry


def repaired(kitchen: Kitchen) -> None:
    done = [{"fan": "EF-1", "kind": "repaired", "item": "hinge"}]
    log(kitchen, actions=done, kind="service_call")


def corrected(kitchen: Kitchen) -> None:
    log(
        kitchen, check(seen={**WITHIN, "hinge": "loose"}), began_at=f"{SEEN_ON}T09:10",
        supersedes=str(kitchen.advice.visit_id), correction_reason="typed wrong",
    )  # fmt: skip


def log(kitchen: Kitchen, *checks: Any, **parts: Any) -> None:
    """A later visit."""
    place = {"owner": kitchen.owner.name, "site": kitchen.site.name}
    payload = {**visit(*checks, on=f"{TODAY - dt.timedelta(days=2)}T10:00"), **place, **parts}
    log_visit(payload=payload, by=None, now=timezone.now())


@pytest.mark.parametrize(
    ("meanwhile", "told"), [(repaired, "has been repaired"), (corrected, "was corrected since")]
)
def test_answer_when_the_advice_fell_meanwhile_then_told_and_nothing_recorded(
    browser: Client, kitchen: Kitchen, meanwhile: Any, told: str
) -> None:
    page = page_of(browser, kitchen)
    meanwhile(kitchen)
    response = answer(browser, kitchen, page)
    assert (response.status_code, Decision.objects.count()) == (409, 0)
    assert f"Nothing was recorded: this {told}".split(":")[0] in said(response)
    assert told in said(browser.get(kitchen.address))


@pytest.mark.parametrize(
    ("limit", "told"),
    [
        (None, "No spending limit is agreed: it needs your yes."),
        (500, "Within the 500 USD that your agreement lets us spend without asking"),
        (480, "Within the 480 USD"),
        (479, "Above the 479 USD that your agreement lets us spend without asking: it needs"),
    ],
)
def test_advice_when_a_limit_is_agreed_then_says_whether_a_yes_is_needed(
    browser: Client, kitchen: Kitchen, limit: int | None, told: str
) -> None:
    starts = TODAY - dt.timedelta(days=100)
    Agreement.objects.create(owner=kitchen.owner, starts_on=starts, spending_limit=limit)
    assert told in said(browser.get(kitchen.address))


def test_answer_when_within_the_limit_then_recorded_all_the_same(
    browser: Client, kitchen: Kitchen
) -> None:
    starts = TODAY - dt.timedelta(days=100)
    Agreement.objects.create(owner=kitchen.owner, starts_on=starts, spending_limit=500)
    answer(browser, kitchen)
    assert "Within the 500 USD" in Decision.objects.get().shown


def test_answer_when_there_is_no_address_then_the_receipt_says_so(kitchen: Kitchen) -> None:
    Owner.objects.update(email="")
    browser = opened(make_link(owner=kitchen.owner, now=kitchen.link.made_at))
    sent = answer(browser, kitchen)
    assert "We have no address" in said(browser.get(sent.headers["Location"]))
    assert Notice.objects.count() == 0
