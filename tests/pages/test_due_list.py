"""The due list's page: who sees what, in words; wrong questions are told, never a fault."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any
from urllib.parse import parse_qs

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from playwright.sync_api import Page

from fleet.models import Person, Site
from schedules.due.reckoning import reckon_fleet
from schedules.models import DueState
from tests.axe import complaints
from tests.bookings.booked import booked
from tests.people import Roofs, sign_in, signed_in
from tests.schedules.fans import NOW, make_fan, walk


def text_of(answer: Any) -> str:
    """A page's words without its tags, blanks made one."""
    body = answer.content.decode()
    main = body[body.index("<main") : body.index("</main>")]
    words = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", main))
    return words.replace(" ,", ",").replace("&#x27;", "'")


@pytest.fixture
def fleet(roofs: Roofs) -> Roofs:
    """A stop at the bakery and two fans that nobody has seen."""
    walk(roofs.bakery, "2026-06-01", {"guard": "stop"}, guard="off")
    reckon_fleet(now=NOW)
    return roofs


@pytest.mark.django_db
def test_due_list_when_nobody_is_signed_in_then_asks_to(client: Client) -> None:
    assert client.get("/").headers["Location"] == "/login/?next=/"


@pytest.mark.parametrize("who", ["dana", "theo"])
def test_due_list_when_our_people_look_then_every_fan(
    fleet: Roofs, who: str, request: pytest.FixtureRequest
) -> None:
    told = text_of(signed_in(request.getfixturevalue(who)).get("/"))
    assert [fan.tag in told for fan in fleet.all] == [True] * 3


@pytest.mark.parametrize(("who", "linked"), [("dana", True), ("theo", False), ("olga", False)])
def test_due_list_when_read_then_links_to_the_import_only_where_it_opens(
    roofs: Roofs, who: str, linked: bool, request: pytest.FixtureRequest
) -> None:
    body = signed_in(request.getfixturevalue(who)).get("/").content.decode()
    assert ('href="/import/"' in body) is linked


@pytest.mark.parametrize(
    ("person", "linked"), [({"is_staff": True, "role": "manager"}, True), ({}, False)]
)
def test_due_list_when_read_then_links_to_the_register_only_where_it_opens(
    fleet: Roofs, person: dict[str, Any], linked: bool
) -> None:
    client = signed_in(Person.objects.create_user("mia", **person))
    assert ('href="/admin/"' in client.get("/").content.decode()) is linked


def test_due_list_when_an_owner_looks_then_only_their_fans(
    fleet: Roofs, olga: Person, sam: Person
) -> None:
    seen = [text_of(signed_in(person).get("/")) for person in (olga, sam)]
    assert [[fan.tag in told for fan in fleet.all] for told in seen] == [
        [True, True, False],
        [False, False, True],
    ]


def test_due_list_when_read_then_day_why_and_verdict_stand_in_words(
    fleet: Roofs, dana: Person
) -> None:
    DueState.objects.filter(fan=fleet.bakery).update(due_rule=6)
    told = text_of(signed_in(dana).get(f"/?on=2026-06-15&site={fleet.bakery.site_id}"))
    assert all(
        words in told
        for words in (
            "Overdue",
            "EF-1",
            "Alder Bakery",
            "Alder Kitchens",
            "151 days ago, overdue",
            "stop",
        )
    )


def test_due_list_when_a_stop_stands_behind_another_date_then_told_before_it(
    fleet: Roofs, dana: Person
) -> None:
    told = text_of(signed_in(dana).get("/"))
    assert told.index("stop The guard is off") < told.index("Code inspection: none")


def test_due_list_when_nothing_is_on_record_then_says_how_to_begin(dana: Person) -> None:
    assert "Import a spreadsheet of fans to begin." in text_of(signed_in(dana).get("/"))


def test_due_list_when_all_is_far_off_then_says_so(fleet: Roofs, dana: Person) -> None:
    assert "Nothing is overdue or due within a week." in text_of(
        signed_in(dana).get("/?on=2025-12-01")
    )


def test_due_list_when_no_fan_fits_then_says_so(fleet: Roofs, dana: Person) -> None:
    told = text_of(signed_in(dana).get("/?rule=4"))
    assert "No fan fits what you asked for." in told


def test_due_list_when_a_fan_was_never_reckoned_then_told_apart(dana: Person) -> None:
    make_fan("EF-7")
    told = text_of(signed_in(dana).get("/"))
    assert "EF-7, Roof of EF-7: Not reckoned yet" in told


WRONG = [
    ("within=soon", "Days are a whole number such as 14."),
    ("within=-1", "Days are 0 or more."),
    ("within=99999999999999999999", "Days are 3660 at most."),
    ("on=2026-02-30", "That is no day; write it as 2026-03-31."),
    ("on=31.3.2026", "That is no day; write it as 2026-03-31."),
    ("on=9999-12-31", "9999-12-31 is out of reach"),
    ("on=0001-01-01", "0001-01-01 is out of reach"),
    ("rule=x", "There is no such choice here"),
    ("rule=77", "There is no such choice here"),
    ("verdict=0", "There is no such choice here"),
    ("owner=1%27--", "There is no such choice here"),
    ("site=99999999999999999999999", "There is no such choice here"),
    ("site=%00", "Null characters are not allowed"),
    ("after=later", "'later' is no page of this list; start again from its first page."),
    ("after=week.0.2026-13-01.1", "is no page of this list"),
    ("after=%00%ff", "is no page of this list"),
]


@pytest.mark.parametrize(("asked", "answer"), WRONG)
def test_due_list_when_asked_wrongly_then_says_what_is_wrong(
    fleet: Roofs, dana: Person, asked: str, answer: str
) -> None:
    said = signed_in(dana).get(f"/?{asked}")
    assert (said.status_code, answer in text_of(said)) == (400, True)


def test_due_list_when_an_owner_asks_for_anothers_site_then_it_does_not_exist(
    fleet: Roofs, sam: Person
) -> None:
    answers = [
        text_of(signed_in(sam).get(f"/?site={site}")) for site in (fleet.bakery.site_id, 987654)
    ]
    assert answers[0] == answers[1]


def test_due_list_when_an_owner_names_another_owner_then_ignored(fleet: Roofs, sam: Person) -> None:
    told = text_of(signed_in(sam).get(f"/?owner={fleet.bakery.site.owner_id}"))
    assert ("EF-1" in told, "EF-3" in told) == (False, True)


def test_due_list_when_filtered_then_the_next_page_keeps_the_filter(
    fleet: Roofs, dana: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("schedules.pages.due_list.PAGE", 1)
    body = signed_in(dana).get("/?on=2026-06-15&within=30").content.decode()
    found = re.search(r'href="\?([^"]+)" rel="next"', body)
    assert found is not None
    asked = parse_qs(found[1].replace("&amp;", "&"))
    assert (asked["on"], asked["within"], len(asked["after"])) == (["2026-06-15"], ["30"], 1)


def test_due_list_when_it_grows_then_asks_no_more_questions(fleet: Roofs, dana: Person) -> None:
    counts = []
    for number in range(2):
        with CaptureQueriesContext(
            connection,
        ) as asked:
            signed_in(dana).get("/")
        counts.append(len(asked))
        for more in range(15):
            walk(make_fan(f"EX-{number}-{more}"), "2026-06-01", {"guard": "stop"}, guard="off")
        reckon_fleet(now=NOW)
    assert counts[0] == counts[1]


def asked_by_due_list(person: Person, words: str) -> list[str]:
    """Statements of the first page that hold these words."""
    with CaptureQueriesContext(connection) as asked:
        signed_in(person).get("/")
    return [each["sql"] for each in asked if words in each["sql"]]


def test_due_list_when_opened_then_zones_do_not_come_with_every_site(
    fleet: Roofs, dana: Person
) -> None:
    zones = asked_by_due_list(dana, "SELECT DISTINCT")
    assert ['"name"' in sql for sql in zones] == [False]


def test_due_list_when_somebody_comes_then_of_today_only_visits_to_its_sites_are_read(
    fleet: Roofs, dana: Person, theo: Person
) -> None:
    # The day alone has no index: every visit on record was read to find today's.
    site = fleet.bakery.site
    now = timezone.now()
    booked(site, theo, now.date() + timedelta(days=2), now=now)
    today = asked_by_due_list(dana, '"local_on" =')
    checks = [sql for sql in today if sql.startswith('SELECT "visits_check"')]
    assert [f'"site_id" IN ({site.pk})' in sql for sql in checks] == [True]


# ---- in a browser


@pytest.fixture
def signed_page(page: Page, fleet: Roofs, dana: Person) -> Page:
    """Dana's browser."""
    sign_in(page, dana)
    return page


@pytest.mark.browser
def test_due_list_when_read_by_axe_then_no_violation(signed_page: Page) -> None:
    signed_page.goto("/?overdue=on")
    assert signed_page.locator("h1").text_content() == "Due"
    assert complaints(signed_page) == []


@pytest.mark.browser
def test_due_list_when_phone_wide_then_nothing_scrolls_sideways(signed_page: Page) -> None:
    signed_page.goto("/?within=30")
    assert signed_page.evaluate("document.documentElement.scrollWidth") <= 360


@pytest.mark.browser
def test_due_list_when_narrowed_by_keyboard_then_shows_what_was_asked(signed_page: Page) -> None:
    signed_page.goto("/")
    signed_page.get_by_text("Narrow this list").focus()
    signed_page.keyboard.press("Enter")
    signed_page.get_by_label("Worst open").press("ArrowDown")
    signed_page.get_by_label("Overdue only").press("Space")
    signed_page.get_by_role("button", name="Show").press("Enter")
    signed_page.wait_for_url("**verdict=2**overdue=on**")
    assert signed_page.locator(".due tbody tr").count() == 1


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("days", "told"), [(1, "Waiting 1 day costs"), (3, "Waiting 3 days costs"),
                       (14, "Waiting 2 weeks costs")],
)  # fmt: skip
def test_waiting_when_shorter_than_two_weeks_then_told_in_days(
    roofs: Roofs, dana: Person, days: int, told: str
) -> None:
    walk(roofs.bakery, "2026-06-01")
    reckon_fleet(now=NOW)
    Site.objects.update(closed_hours=1000, closed_hour_cost=1000)
    on = timezone.now().astimezone(roofs.bakery.site.zone).date() + timedelta(days=days)
    DueState.objects.filter(fan=roofs.bakery).update(due_on=on, overdue_after=on)
    assert told in text_of(signed_in(dana).get("/"))
