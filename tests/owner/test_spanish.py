"""Owners' pages come in their language, whole, and in the other one when asked."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from django.utils import timezone

from fleet.models import Agreement, Owner, OwnerLink, Person, Site
from fleet.services.links import make_link
from schedules.models import DueState, Notice, Subscription
from tests.languages.spanish import english_in, listening
from tests.notices.letters import told
from tests.owner.answers import answer, page_of
from tests.owner.conftest import ADDRESS, TODAY, Kitchen, opened
from tests.people import signed_in
from visits.models import Recommendation

WAIT = dt.timedelta(days=40)
LONG_AGO = TODAY - dt.timedelta(days=300)


@pytest.fixture(autouse=True)
def spanish(kitchen: Kitchen) -> None:
    """Olga's kitchen, its names and advice without an English word; both fans are overdue."""
    Owner.objects.update(language="es")
    Site.objects.update(name="Cocina Alder")
    Recommendation.objects.update(text="Cambiar la bisagra.")
    Agreement.objects.create(owner=kitchen.owner, starts_on=LONG_AGO, visits_per_year=1)
    DueState.objects.update(due_on=LONG_AGO, overdue_after=LONG_AGO)


def answered(browser: Client, kitchen: Kitchen) -> list[Any]:
    """The page, advice refused and given, its receipt, and the page after it."""
    wrong = answer(browser, kitchen, answer="not_now", name="")
    given = answer(browser, kitchen, answer="not_now", not_before=str(TODAY + WAIT))
    later = (given.headers["Location"], kitchen.address, "/o/")
    return [wrong, *map(browser.get, later)]


def running(kitchen: Kitchen) -> list[Any]:
    """The question whether fans run, answered in part and wholly, and its receipt."""
    link = make_link(
        owner=kitchen.owner, now=timezone.now(), purpose=OwnerLink.Purpose.RUNNING,
        site=kitchen.site, sent_to=ADDRESS,
    )  # fmt: skip
    asked = opened(link)
    page = asked.get("/running/")
    fans = {f"fan_{fan.pk}": "not_running" for fan in kitchen.site.fans.all()}
    form = {"name": "B. Cocinero", "page": page.context["form"]["page"].value()}
    wrong = asked.post("/running/", form)
    assert asked.post("/running/", {**form, **fans}).status_code == 302
    return [page, wrong, asked.get("/running/told/")]


def test_pages_when_their_owner_speaks_spanish_then_all_of_them_do(
    browser: Client, kitchen: Kitchen, dana: Person
) -> None:
    leaving = Subscription.objects.create(
        kind="overdue", addressee=f"owner-{kitchen.owner.pk}", owner=kitchen.owner
    )
    with listening() as missing:
        pages = [
            browser.get("/o/"), browser.get(f"/o/visits/{kitchen.site.pk}/"),
            *answered(browser, kitchen), *running(kitchen),
            Client().get("/o/", {"language": "es"}), Client().get(f"/leave/k/{leaving.token}"),
        ]  # fmt: skip
    assert [page.headers["Content-Language"] for page in pages] == ["es"] * len(pages)
    told = {page.request["PATH_INFO"]: english_in(page.content.decode()) for page in pages}
    missing -= set(dict(settings.LANGUAGES).values())  # each is named in itself
    assert (missing, {path: words for path, words in told.items() if words}) == (set(), {})


def test_answer_then_confirmed_in_the_owner_s_language_and_told_in_english(
    browser: Client, kitchen: Kitchen, dana: Person
) -> None:
    Person.objects.update(email="dana@here.example")
    answer(browser, kitchen, page_of(browser, kitchen))
    letters = Notice.objects.filter(kind="decided").order_by("person")
    assert {each.subject.partition(":")[0] for each in letters} == {"Adelante", "Go ahead"}
    assert "Qué sigue ahora".upper() in told("decided")[0].text


def test_page_when_the_other_language_is_asked_for_then_it_stays(browser: Client) -> None:
    assert 'href="?language=en"' in browser.get("/o/").content.decode()
    asked, later = browser.get("/o/?language=en"), browser.get("/o/")
    assert "We need from you" in asked.content.decode()
    assert later.headers["Content-Language"] == "en"


def test_desk_when_somebody_there_speaks_spanish_then_english_all_the_same(dana: Person) -> None:
    Person.objects.update(language="es")
    page = signed_in(dana).get("/")
    assert '<html lang="en">' in page.content.decode()
    assert "Overdue" in page.content.decode()
