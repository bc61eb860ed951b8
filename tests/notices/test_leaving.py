"""Leaving a digest: headers and the one click as RFC 2369 and RFC 8058 have them."""

from __future__ import annotations

import datetime as dt
import io
import logging
import re
from email.message import EmailMessage

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings as project
from django.test import Client
from playwright.sync_api import Page, expect
from pytest_django.fixtures import Settings

from fleet.models import Person
from schedules.models import Notice, Subscription
from schedules.notices.sending import send_notices
from tests.notices.letters import MONDAY, mail_server, overdue_fan, write
from tests.pages.test_due_list import text_of
from tests.people import Roofs, signed_in

pytestmark = pytest.mark.django_db
ONE_CLICK = {"List-Unsubscribe": "One-Click"}
WEEK = dt.timedelta(days=7)


@pytest.fixture(autouse=True)
def reached_by_https(settings: Settings) -> None:
    settings.PUBLIC_URL = "https://fans.alder.example"


def mailed(now: dt.datetime = MONDAY) -> EmailMessage:
    """The overdue letter as its reader gets it."""
    overdue_fan()
    write(now)
    return sent(now)


def sent(now: dt.datetime) -> EmailMessage:
    with mail_server() as inbox:
        send_notices(clock=lambda: now)
    return inbox.taken[0]


def link_in(mail: EmailMessage) -> str:
    """The header's one address; a long one may stand folded (RFC 5322, 2.2.3)."""
    told = re.fullmatch(r"\s?<(https?://[^<>\s]+)>", mail["List-Unsubscribe"])
    assert told
    return told[1]


def path_in(mail: EmailMessage) -> str:
    return link_in(mail).removeprefix("https://fans.alder.example")


# RFC 2369, 2: URLs in angle brackets.  RFC 8058, 3.1: one https URI, and List-Unsubscribe-Post with
# exactly this one pair.
def test_digest_when_sent_then_carries_both_headers() -> None:
    mail = mailed()
    assert link_in(mail).startswith("https://fans.alder.example/leave/k/")
    assert mail["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"


def test_digest_when_sent_then_its_text_and_page_hold_the_same_link() -> None:
    mail = mailed()
    address = link_in(mail)
    parts = [part.get_content() for part in mail.iter_parts()]
    assert [address in part and "leave-link:" not in part for part in parts] == [True, True]


# RFC 8058, 3.1: "The URI ... MUST" be https; without it no one-click is promised.
def test_digest_when_reached_by_http_then_no_one_click(settings: Settings) -> None:
    settings.PUBLIC_URL = "http://127.0.0.1:8000"
    mail = mailed()
    told = (link_in(mail).partition(":")[0], mail["List-Unsubscribe-Post"])
    assert told == ("http", None)


@pytest.mark.parametrize(
    "kind", [k for k in Notice.Kind.values if k not in ("overdue", "monday", "summary")]
)
def test_letter_when_no_digest_then_cannot_be_left(kind: str) -> None:
    overdue_fan()
    write()
    Notice.objects.update(kind=kind)
    mail = sent(MONDAY)
    assert (mail["List-Unsubscribe"], mail["List-Unsubscribe-Post"]) == (None, None)


# RFC 8058, 3.2: the POST carries the pair as form data of either kind, no cookie, no other
# credentials, and is answered without a redirect.
@pytest.mark.parametrize("form", ["application/x-www-form-urlencoded", "multipart/form-data"])
def test_one_click_when_posted_by_a_stranger_then_left(form: str) -> None:
    path, stranger = path_in(mailed()), Client(enforce_csrf_checks=True)
    if form == "multipart/form-data":
        answer = stranger.post(path, ONE_CLICK)
    else:
        answer = stranger.post(path, "List-Unsubscribe=One-Click", content_type=form)
    left = Subscription.objects.get().left_at is not None
    assert (answer.status_code, left, answer.cookies.keys()) == (200, True, set())


@pytest.mark.parametrize("method", ["get", "head"])
def test_link_when_only_opened_then_nothing_changes(method: str) -> None:
    answer = getattr(Client(), method)(path_in(mailed()))
    left = Subscription.objects.get().left_at is not None
    assert (answer.status_code, left, answer.cookies.keys()) == (200, False, set())


def test_link_when_opened_then_says_what_is_missed_and_what_still_comes() -> None:
    told = text_of(Client().get(path_in(mailed())))
    assert "told by email that an inspection or a visit is overdue" in told
    assert "Stops, fans out of service" in told
    assert "Those who plan your visits see that you get no weekly email" in told


@pytest.mark.parametrize("body", [{}, {"List-Unsubscribe": "no"}, {"come": "later"}])
def test_link_when_posted_without_the_words_then_nothing_changes(body: dict[str, str]) -> None:
    answer = Client().post(path_in(mailed()), body)
    left = Subscription.objects.get().left_at is not None
    assert (answer.status_code, left) == (400, False)


@pytest.mark.parametrize("method", ["put", "delete", "patch"])
def test_link_when_asked_otherwise_then_405(method: str) -> None:
    assert getattr(Client(), method)(path_in(mailed())).status_code == 405


def test_digest_when_left_then_not_written_until_they_come_back() -> None:
    path, counts = path_in(mailed()), []
    for week, body in enumerate((ONE_CLICK, {}, {"come": "back"}), start=1):
        Client().post(path, body)
        counts.append(write(MONDAY + week * WEEK).notices)
    assert counts == [0, 0, 1]


def test_digest_when_left_before_it_went_then_does_not_go() -> None:
    path = path_in(mailed())
    write(MONDAY + WEEK)
    Client().post(path, ONE_CLICK)
    with mail_server() as inbox:
        send_notices(clock=lambda: MONDAY + WEEK)
    assert (inbox.taken, Notice.objects.latest("pk").fault) == (
        [],
        "They unsubscribed before it went.",
    )


def test_link_then_the_same_in_every_letter_of_a_reader() -> None:
    first = path_in(mailed())
    write(MONDAY + WEEK)
    assert path_in(sent(MONDAY + WEEK)) == first


def test_link_then_of_256_bits_that_name_nobody() -> None:
    token = path_in(mailed()).rpartition("/")[2]
    assert re.fullmatch("[0-9a-f]{64}", token)
    assert len({Subscription(kind="overdue").token for _ in range(50)}) == 50


@pytest.mark.parametrize("token", ["0" * 64, "x", "0" * 63, "%00", "A" * 64, "0" * 5000])
def test_link_when_guessed_then_nothing_there(token: str) -> None:
    mailed()
    answers = [Client().get(f"/leave/k/{token}"), Client().post(f"/leave/k/{token}", ONE_CLICK)]
    assert [answer.status_code for answer in answers] == [404, 404]


def test_link_when_opened_then_leaves_no_trace_elsewhere() -> None:
    answer = Client().get(path_in(mailed()))
    told = [answer.headers[name] for name in ("Referrer-Policy", "Cache-Control", "X-Robots-Tag")]
    assert told == ["no-referrer", "private, no-store", "noindex"]


def test_link_when_refused_then_its_words_are_in_no_log() -> None:
    path = path_in(mailed())
    handler = next(each for each in logging.getLogger().handlers if each.get_name() == "terminal")
    stream, handler.stream = handler.stream, io.StringIO()  # type: ignore[attr-defined]
    try:
        logging.getLogger("django.request").addHandler(handler)
        Client().put(path)
        Client().get(path + "0")
        said = handler.stream.getvalue()  # type: ignore[attr-defined]
    finally:
        logging.getLogger("django.request").removeHandler(handler)
        handler.stream = stream  # type: ignore[attr-defined]
    assert ("Method Not Allowed" in said, path.rpartition("/")[2] in said) == (True, False)


def test_letter_when_planners_read_it_then_without_its_readers_link(dana: Person) -> None:
    mailed()
    notice = Notice.objects.get()
    told = [
        signed_in(dana).get(f"/notices/{notice.pk}/{how}").content.decode() for how in ("", "drawn")
    ]
    token = Subscription.objects.get().token
    assert [(token in page, 'href="leave-link:' in page) for page in told] == [(False, False)] * 2


def test_notices_when_somebody_has_left_then_planners_see_who_and_what(dana: Person) -> None:
    Client().post(path_in(mailed()), ONE_CLICK)
    told = text_of(signed_in(dana).get("/notices/"))
    assert "Alder Kitchens gets no email about overdue inspections since" in told


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_leaving_when_done_by_hand_then_there_and_back(page: Page, roofs: Roofs) -> None:
    subscription = Subscription.objects.create(
        kind="overdue", addressee="owner-1", owner=roofs.bakery.site.owner
    )
    page.goto(f"/leave/k/{subscription.token}")
    faults = [Axe().run(page).violations_count]
    page.get_by_role("button", name="No more of these emails").click()
    expect(page.get_by_role("status")).to_have_text("No more of these emails come.")
    faults.append(Axe().run(page).violations_count)
    page.get_by_role("button", name="Send them again").click()
    expect(page.get_by_role("button", name="No more of these emails")).to_be_visible()
    subscription.refresh_from_db()
    assert (faults, subscription.left_at) == ([0, 0], None)
    assert project.SESSION_COOKIE_NAME not in {each["name"] for each in page.context.cookies()}
