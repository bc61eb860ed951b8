"""The kitchen's own look: asked by a planner, told by a link, evidence and nothing more."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.utils import timezone

from fleet.models import Fan, Owner, OwnerLink, Person
from fleet.services.links import make_link
from schedules.models import DueState, Notice
from schedules.notices.sending import message_of
from schedules.services import log_event
from tests.owner.answers import hidden_page, said
from tests.owner.conftest import ADDRESS, TODAY, Kitchen, opened
from tests.people import signed_in
from visits.models import RunningTold


@pytest.fixture
def asked(kitchen: Kitchen) -> Client:
    """A browser in which the storm's question was opened."""
    link = make_link(
        owner=kitchen.owner, now=timezone.now(), purpose=OwnerLink.Purpose.RUNNING,
        site=kitchen.site, sent_to=ADDRESS,
    )  # fmt: skip
    return opened(link)


def form(browser: Client, kitchen: Kitchen, *answers: str, **words: str) -> dict[str, str]:
    """Answers for EF-1 and EF-2, on a page just opened."""
    fans = Fan.objects.filter(site=kitchen.site).order_by("tag")
    told = {f"fan_{fan.pk}": each for fan, each in zip(fans, answers, strict=False)}
    return {**told, "name": "B. Cook", "page": hidden_page(browser.get("/running/")), **words}


def tell(browser: Client, kitchen: Kitchen, *answers: str, **words: str) -> Any:
    """Press the button."""
    return browser.post("/running/", form(browser, kitchen, *answers, **words))


def test_kitchen_when_it_tells_then_a_record_of_each_fan(asked: Client, kitchen: Kitchen) -> None:
    tell(asked, kitchen, "running", "cannot_tell", note="loud")
    rows = RunningTold.objects.order_by("fan__tag").values_list("answer", "told_by", "note")
    assert list(rows) == [("running", "B. Cook", "loud"), ("cannot_tell", "B. Cook", "loud")]


@pytest.mark.parametrize("word", ["running", "not_running", "cannot_tell"])
def test_kitchen_when_it_tells_then_no_date_moves(
    asked: Client, kitchen: Kitchen, word: str
) -> None:
    storm = {"id": str(uuid4()), "kind": "storm", "owner": kitchen.owner.name,
             "site": kitchen.site.name, "started": str(TODAY)}  # fmt: skip
    log_event(payload=storm, by=None, now=timezone.now())
    before = list(DueState.objects.order_by("pk").values("due_on", "overdue_after", "dates"))
    tell(asked, kitchen, word, word)
    after = list(DueState.objects.order_by("pk").values("due_on", "overdue_after", "dates"))
    assert [dict(row, dates=bytes(row["dates"])) for row in before] == [
        dict(row, dates=bytes(row["dates"])) for row in after
    ]


def test_fan_when_not_running_then_those_who_plan_are_told_the_same_day(
    asked: Client, kitchen: Kitchen, office: Person
) -> None:
    tell(asked, kitchen, "not_running", "running", note="breaker is off")
    letter = Notice.objects.get()
    assert (letter.kind, letter.person) == ("told", office)
    assert letter.subject == f"Not running: EF-1 at {kitchen.site.name}"
    parts = ("EF-1: not running", "EF-2: running", "breaker is off", "B. Cook")
    assert [part for part in parts if part not in letter.text] == []


def test_fans_when_all_run_then_no_letter(asked: Client, kitchen: Kitchen, office: Person) -> None:
    tell(asked, kitchen, "running", "running")
    assert Notice.objects.count() == 0


def test_fan_when_not_running_then_its_page_and_the_due_list_say_so(
    asked: Client, kitchen: Kitchen, dana: Person
) -> None:
    tell(asked, kitchen, "not_running", "running")
    desk = signed_in(dana)
    words = f"The kitchen said on {TODAY:%a} {TODAY.day} {TODAY:%b %Y}: not running (B. Cook)."
    pages = [said(desk.get(path)) for path in ("/", f"/fans/{kitchen.fan.pk}/")]
    assert [words in page for page in pages] == [True, True]
    assert "Told Not running, as seen from the kitchen; no inspection." in pages[1]


def test_fan_when_it_runs_again_then_the_due_list_is_silent(
    asked: Client, kitchen: Kitchen, dana: Person
) -> None:
    tell(asked, kitchen, "not_running", "running")
    tell(asked, kitchen, "running", "running")
    assert "The kitchen said" not in said(signed_in(dana).get("/"))


def test_page_when_sent_twice_then_once(asked: Client, kitchen: Kitchen, office: Person) -> None:
    words = form(asked, kitchen, "not_running", "running")
    for _ in range(3):
        assert asked.post("/running/", words).headers["Location"] == "/running/told/"
    assert (RunningTold.objects.count(), Notice.objects.count()) == (2, 1)


@pytest.mark.parametrize(
    ("answers", "words", "complaint"),
    [
        (("running",), {}, "“Cannot tell” is an answer too"),
        (("running", "maybe"), {}, "“Cannot tell” is an answer too"),
        (("running", "running"), {"name": ""}, "Type your name"),
        (("running", "running"), {"note": "a\u202eb"}, "hidden character"),
        (("running", "running"), {"page": "made up"}, "open for too long"),
    ],
)
def test_page_when_something_is_wrong_then_told_and_nothing_recorded(
    asked: Client, kitchen: Kitchen, answers: tuple[str, ...], words: dict[str, str], complaint: str
) -> None:
    response = tell(asked, kitchen, *answers, **words)
    assert (response.status_code, RunningTold.objects.count()) == (422, 0)
    assert complaint in said(response)


def test_page_when_fans_of_others_are_told_then_they_are_not_heard(
    asked: Client, kitchen: Kitchen, other: Kitchen
) -> None:
    tell(asked, kitchen, "running", "running", **{f"fan_{other.fan.pk}": "not_running"})
    assert set(RunningTold.objects.values_list("fan__site", flat=True)) == {kitchen.site.pk}


def test_page_when_opened_or_read_ahead_then_nothing_is_told(asked: Client) -> None:
    for ask in (asked.get, asked.head, asked.options):
        ask("/running/")
    assert RunningTold.objects.count() == 0


def test_page_when_flooded_then_refused(asked: Client, kitchen: Kitchen) -> None:
    codes = [tell(asked, kitchen, "running", "running").status_code for _ in range(21)]
    assert codes == [302] * 20 + [422]


def test_site_when_a_planner_asks_then_a_letter_with_a_link_that_opens(
    kitchen: Kitchen, dana: Person, client: Client
) -> None:
    desk = signed_in(dana)
    for _ in range(2):
        desk.post(f"/sites/{kitchen.site.pk}/ask-running")
    letter = Notice.objects.get()
    address = re.search(r"http\S+/k/\S+", str(message_of(letter).body))
    assert address
    sent = client.get(address[0].removeprefix("http://127.0.0.1:8000"))
    assert (letter.address, sent.headers["Location"]) == (ADDRESS, "/running/")


def test_site_when_its_owner_has_no_address_then_says_so(kitchen: Kitchen, dana: Person) -> None:
    Owner.objects.update(email="")
    sent = signed_in(dana).post(f"/sites/{kitchen.site.pk}/ask-running", follow=True)
    assert "has no email address: ask by phone" in said(sent)


def test_site_when_a_planner_hands_over_a_link_then_shown_once_and_it_opens(
    kitchen: Kitchen, dana: Person, client: Client
) -> None:
    shown = signed_in(dana).post(f"/sites/{kitchen.site.pk}/link")
    path = re.search(r"/k/[a-z2-7]{26}", shown.content.decode())
    assert path
    assert client.get(path[0]).headers["Location"] == "/o/"
    assert OwnerLink.objects.exclude(made_by=None).get().made_by == dana


def test_site_when_a_planner_ends_links_then_none_opens(
    kitchen: Kitchen, other: Kitchen, dana: Person, browser: Client
) -> None:
    signed_in(dana).post(f"/sites/{kitchen.site.pk}/end-links")
    assert browser.get("/o/").status_code == 404
    assert opened(other.link).get("/o/").status_code == 200


@pytest.mark.parametrize("path", ["link", "end-links", "ask-running"])
def test_site_when_others_try_then_nowhere(
    kitchen: Kitchen, theo: Person, browser: Client, path: str
) -> None:
    owner = Person.objects.create_user("olga", role=Person.Role.OWNER, owner=kitchen.owner)
    address = f"/sites/{kitchen.site.pk}/{path}"
    codes = [signed_in(each).post(address).status_code for each in (theo, owner)]
    assert codes == [404, 404]
    assert browser.post(address).headers["Location"].startswith("/login/")
    assert Notice.objects.count() == 0


@pytest.mark.parametrize("path", ["link", "end-links", "ask-running"])
def test_site_when_a_planner_only_opens_the_address_then_nothing_happens(
    kitchen: Kitchen, dana: Person, path: str
) -> None:
    assert signed_in(dana).get(f"/sites/{kitchen.site.pk}/{path}").status_code == 405


def test_told_when_somebody_has_looked_since_then_the_list_is_silent(
    asked: Client, kitchen: Kitchen, dana: Person
) -> None:
    tell(asked, kitchen, "not_running", "running")
    RunningTold.objects.update(received_at=timezone.now() - dt.timedelta(days=30))
    assert "The kitchen said" not in said(signed_in(dana).get("/"))
