"""What a stranger, a scanner or a second tab might try with an owner's link."""

from __future__ import annotations

import logging
import threading
from io import StringIO
from typing import Any
from urllib.parse import urlencode
from uuid import uuid4

import pytest
from django.db import connection
from django.test import Client
from django.utils import timezone

from fleet.services.links import make_link, revoke_links, token_of
from schedules import answering
from schedules.answering import Shown
from schedules.models import Notice
from schedules.services import log_visit
from tests.owner.answers import NAME, answer, page_of
from tests.owner.conftest import SEEN_ON, Kitchen, opened
from tests.visits.photographs import photo
from tests.visits.roofs import WITHIN, check
from visits.models import Decision, Photo
from visits.services import attach_photo

HOSTILE = "<script>alert(1)</script>\"'><img src=x onerror=alert(1)>{{ 7|add:7 }}"


@pytest.mark.parametrize("method", ["get", "head", "options", "put", "delete", "patch"])
def test_advice_when_asked_by_anything_but_a_post_then_nothing_is_decided(
    browser: Client, kitchen: Kitchen, method: str
) -> None:
    told = {"answer": "go_ahead", "name": NAME, "page": page_of(browser, kitchen)}
    getattr(browser, method)(f"{kitchen.address}?{urlencode(told)}")
    assert Decision.objects.count() == 0


def test_advice_of_another_owner_then_as_one_that_never_was(
    browser: Client, other: Kitchen
) -> None:
    theirs, nobodys = (browser.get(f"/o/advice/{each}/") for each in (other.advice.pk, uuid4()))
    assert (theirs.status_code, theirs.content) == (404, nobodys.content)


def test_answer_to_another_owner_s_advice_then_as_to_one_that_never_was(
    browser: Client, kitchen: Kitchen, other: Kitchen
) -> None:
    told = {"answer": "go_ahead", "name": NAME, "page": page_of(browser, kitchen)}
    theirs, nobodys = (
        browser.post(f"/o/advice/{each}/", told) for each in (other.advice.pk, uuid4())
    )
    assert (theirs.status_code, theirs.content) == (404, nobodys.content)
    assert Decision.objects.count() == 0


def test_answer_with_a_page_shown_of_other_advice_then_nothing_recorded(
    browser: Client, kitchen: Kitchen, other: Kitchen
) -> None:
    shown = Shown(str(other.advice.pk), uuid4(), "", "made up")
    assert answer(browser, kitchen, shown.signed(kitchen.link)).status_code == 409
    assert Decision.objects.count() == 0


def test_answer_with_a_page_signed_for_another_link_then_nothing_recorded(
    browser: Client, kitchen: Kitchen
) -> None:
    second = make_link(owner=kitchen.owner, now=timezone.now())
    page = page_of(opened(second), kitchen)
    assert answer(browser, kitchen, page).status_code == 409
    assert Decision.objects.count() == 0


@pytest.mark.parametrize("page", ["x", "a:b:c", ".eJx:1:2", "x" * 50_000])
def test_answer_with_a_page_made_up_then_told_and_nothing_recorded(
    browser: Client, kitchen: Kitchen, page: str
) -> None:
    assert answer(browser, kitchen, page).status_code == 409
    assert Decision.objects.count() == 0


def test_answer_when_the_link_ended_meanwhile_then_nothing_recorded(
    browser: Client, kitchen: Kitchen
) -> None:
    page = page_of(browser, kitchen)
    revoke_links(owner=kitchen.owner, now=timezone.now())
    assert answer(browser, kitchen, page).status_code == 404
    assert Decision.objects.count() == 0


def test_answer_with_another_owner_s_cookie_then_their_advice_only(
    browser: Client, kitchen: Kitchen, other: Kitchen
) -> None:
    page = page_of(browser, kitchen)
    browser.get(f"/k/{token_of(other.link)}")
    assert answer(browser, kitchen, page).status_code == 404
    assert Decision.objects.count() == 0


def test_answer_without_the_form_s_own_secret_then_refused(kitchen: Kitchen) -> None:
    browser = opened(kitchen.link, enforce_csrf_checks=True)
    page = page_of(browser, kitchen)
    assert answer(browser, kitchen, page).status_code == 403
    assert Decision.objects.count() == 0


def test_answer_from_another_site_then_refused(kitchen: Kitchen) -> None:
    browser = opened(kitchen.link, enforce_csrf_checks=True)
    told = {"answer": "go_ahead", "name": NAME, "page": page_of(browser, kitchen),
            "csrfmiddlewaretoken": browser.cookies["csrftoken"].value}  # fmt: skip
    sent = browser.post(kitchen.address, told, headers={"origin": "https://evil.example"})
    assert (sent.status_code, Decision.objects.count()) == (403, 0)


def test_answer_when_it_holds_html_then_shown_as_typed(browser: Client, kitchen: Kitchen) -> None:
    sent = answer(browser, kitchen, answer="question", note=HOSTILE, name=f"A {HOSTILE}")
    pages = [browser.get(path).content.decode() for path in (sent.headers["Location"], "/o/")]
    texts = [*pages, Notice.objects.get().html]
    assert [text for text in texts if "<script>" in text or "<img src=x" in text] == []


def test_answer_when_the_name_breaks_lines_then_one_line_and_no_header(
    browser: Client, kitchen: Kitchen
) -> None:
    answer(browser, kitchen, name="A\r\nBcc: all@evil.example\r\n\r\nHello")
    assert Decision.objects.get().decided_by == "A Bcc: all@evil.example Hello"
    assert "\n" not in Notice.objects.get().subject


def test_answers_when_a_link_floods_then_refused(
    browser: Client, kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(answering, "MOST_A_DAY", 3)
    codes = [
        answer(browser, kitchen, answer="question", note=f"{number}?").status_code
        for number in range(4)
    ]
    assert codes == [302] * 3 + [409]


def attached(kitchen: Kitchen) -> Photo:
    """A photo of the hinge, taken on the visit."""
    told = {"id": str(uuid4()), "fan": "EF-1", "subject": "hinge"}
    visit, now = kitchen.advice.visit, timezone.now()
    return attach_photo(visit=visit, told=told, data=photo(), by=None, now=now).photo


def test_photo_then_shown_with_the_advice_and_served_to_its_owner_s_link_alone(
    browser: Client, kitchen: Kitchen, other: Kitchen
) -> None:
    mine, theirs = attached(kitchen), attached(other)
    assert f"/o/photos/{mine.pk}/small" in browser.get(kitchen.address).content.decode()
    codes = [
        browser.get(f"/o/photos/{which}/{size}").status_code
        for which, size in ((mine.pk, "small"), (mine.pk, "large"), (mine.pk, "raw"),
                            (theirs.pk, "small"), (uuid4(), "small"))
    ]  # fmt: skip
    assert codes == [200, 200, 404, 404, 404]


def test_photo_when_its_visit_was_corrected_then_with_the_advice_that_replaced_it(
    browser: Client, kitchen: Kitchen
) -> None:
    kept, advised = attached(kitchen), {"fan": "EF-1", "subject": "hinge", "text": "A new hinge."}
    before = kitchen.advice.visit
    for again in ("first", "second"):
        payload = {
            "id": str(uuid4()), "kind": "walk_through", "owner": kitchen.owner.name,
            "site": kitchen.site.name, "began_at": f"{SEEN_ON}T09:10", "supersedes": str(before.pk),
            "correction_reason": again, "checks": [check(seen={**WITHIN, "hinge": "loose"})],
            "recommendations": [advised],
        }  # fmt: skip
        before = log_visit(payload=payload, by=None, now=timezone.now()).recorded.visit
    pages = [browser.get(path) for path in ("/o/", f"/o/advice/{before.recommendations.get().pk}/")]
    assert [f"/o/photos/{kept.pk}/small" in page.content.decode() for page in pages] == [True] * 2


def test_photo_without_a_link_then_the_plain_page(client: Client, kitchen: Kitchen) -> None:
    assert client.get(f"/o/photos/{attached(kitchen).pk}/small").status_code == 404


def test_receipt_of_another_owner_then_nowhere(
    browser: Client, kitchen: Kitchen, other: Kitchen
) -> None:
    sent = answer(opened(other.link), other)
    assert browser.get(sent.headers["Location"]).status_code == 404


def test_page_then_holds_no_words_of_any_link(browser: Client, kitchen: Kitchen) -> None:
    sent = answer(browser, kitchen)
    words = token_of(kitchen.link)
    pages = [browser.get(path) for path in ("/o/", kitchen.address, sent.headers["Location"])]
    assert [words in page.content.decode() + str(page.headers) for page in pages] == [False] * 3


def test_page_when_a_fault_happens_then_the_words_are_in_no_answer_or_log(
    kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(**_: Any) -> None:
        raise RuntimeError("the disk is on fire")

    log = StringIO()
    terminal = next(each for each in logging.getLogger().handlers if each.name == "terminal")
    monkeypatch.setattr(terminal, "stream", log)
    monkeypatch.setattr("schedules.pages.owner.entering.note_use", broken)
    words = token_of(kitchen.link)
    answer = Client(raise_request_exception=False).get(f"/k/{words}")
    assert answer.status_code == 500
    assert words not in answer.content.decode() + log.getvalue()
    assert "the disk is on fire" in log.getvalue()


def test_pages_without_a_link_then_all_the_same_plain_page(
    client: Client, kitchen: Kitchen
) -> None:
    paths = ("/o/", kitchen.address, f"/o/answers/{uuid4()}/", "/running/", "/running/told/")
    assert len({client.get(path).content for path in paths}) == 1
    assert {client.get(path).status_code for path in paths} == {404}


def test_link_then_opens_no_page_of_people_who_sign_in(browser: Client, kitchen: Kitchen) -> None:
    paths = ("/", f"/fans/{kitchen.fan.pk}/", "/notices/", "/admin/")
    assert {browser.get(path).headers.get("Location", "").split("?")[0] for path in paths} <= {
        "/login/", "/admin/login/",
    }  # fmt: skip
    assert browser.get("/api/v1/fans").status_code == 401


def press_at_once(browser: Client, kitchen: Kitchen, pages: list[str]) -> list[int]:
    """The codes of as many buttons pressed in one moment."""
    together, codes = threading.Barrier(len(pages)), list[int]()

    def press(page: str) -> None:
        own = Client()
        own.cookies = browser.cookies
        together.wait()
        codes.append(answer(own, kitchen, page).status_code)
        connection.close()

    threads = [threading.Thread(target=press, args=[page]) for page in pages]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return sorted(codes)


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_answer_when_posted_ten_times_at_once_then_once(browser: Client, kitchen: Kitchen) -> None:
    pages = [page_of(browser, kitchen)] * 10
    assert press_at_once(browser, kitchen, pages) == [302] * 10
    assert (Decision.objects.count(), Notice.objects.count()) == (1, 1)


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_answers_of_ten_tabs_at_once_then_one_and_nine_told(
    browser: Client, kitchen: Kitchen
) -> None:
    pages = [page_of(browser, kitchen) for _ in range(10)]
    assert press_at_once(browser, kitchen, pages) == [302] + [409] * 9
    assert (Decision.objects.count(), Notice.objects.count()) == (1, 1)
