"""The pages of emails: for those who plan, drawn safely."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from playwright.sync_api import Page

from fleet.models import Owner, Person
from schedules.models import Notice
from tests.pages.test_due_list import text_of
from tests.people import Roofs, sign_in, signed_in
from tests.schedules.fans import NOW


def owe(owner: Owner, **outcome: object) -> Notice:
    """A letter with what became of it."""
    return Notice.objects.create(
        kind="overdue", addressee=f"owner-{owner.pk}", period=f"w{Notice.objects.count()}",
        owner=owner, address="office@alder.example", subject="Overdue: one fan",
        text="One of your fans", html="<style>p { color: red }</style><p>One of your fans</p>",
        owed_at=NOW, send_after=NOW, **outcome,
    )  # fmt: skip


@pytest.fixture
def notice(roofs: Roofs) -> Notice:
    """A letter owed to Olga's company."""
    return owe(roofs.bakery.site.owner)


def addresses(notice: Notice) -> list[str]:
    return ["/notices/", f"/notices/{notice.pk}/", f"/notices/{notice.pk}/drawn"]


def test_notices_when_a_planner_looks_then_all_are_there(notice: Notice, dana: Person) -> None:
    browser = signed_in(dana)
    assert [browser.get(each).status_code for each in addresses(notice)] == [200] * 3


def test_notices_when_others_look_then_nowhere(
    notice: Notice, theo: Person, olga: Person, sam: Person
) -> None:
    codes = {
        signed_in(person).get(each).status_code
        for person in (theo, olga, sam)
        for each in addresses(notice)
    }
    assert codes == {404}


@pytest.mark.django_db
def test_notices_when_nobody_is_signed_in_then_asks_to(client: Client) -> None:
    assert client.get("/notices/").headers["Location"] == "/login/?next=/notices/"


@pytest.mark.parametrize(
    ("outcome", "words"),
    [
        ({}, "Written Mon 15 Jun 2026, 07:00 CDT; goes within minutes."),
        ({"sent_at": NOW}, "Sent Mon 15 Jun 2026, 07:00 CDT."),
        ({"given_up_at": NOW, "fault": "550 no such box"}, "Given up Mon 15 Jun"),
        ({"tries": 2, "fault": "451 busy"}, "Tried 2 times; next try after Mon 15 Jun"),
    ],
)
def test_notices_then_say_what_became_of_each(
    roofs: Roofs, dana: Person, outcome: dict[str, object], words: str
) -> None:
    owe(roofs.bakery.site.owner, **outcome)
    assert words in text_of(signed_in(dana).get("/notices/"))


def test_notices_when_many_then_older_ones_on_the_next_page(roofs: Roofs, dana: Person) -> None:
    letters = [owe(roofs.bakery.site.owner) for _ in range(51)]
    browser = signed_in(dana)
    first = browser.get("/notices/").content.decode()
    assert f'href="?before={letters[1].pk}"' in first
    assert (
        f"/notices/{letters[0].pk}/"
        in browser.get(f"/notices/?before={letters[1].pk}").content.decode()
    )


@pytest.mark.parametrize("before", ["x", "-1", "9" * 30, "%00"])
def test_notices_when_asked_for_no_page_then_nowhere(dana: Person, before: str) -> None:
    assert signed_in(dana).get(f"/notices/?before={before}").status_code == 404


def test_letter_drawn_then_nothing_in_it_runs_or_loads(notice: Notice, dana: Person) -> None:
    policy = signed_in(dana).get(f"/notices/{notice.pk}/drawn").headers["Content-Security-Policy"]
    told = {part.strip() for part in policy.split(";")}
    assert told == {
        "default-src 'none'", "style-src 'unsafe-inline'", "frame-ancestors 'none'", "sandbox",
    }  # fmt: skip


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_notices_when_read_by_axe_then_no_violation_and_no_sideways_scroll(
    page: Page, notice: Notice, dana: Person
) -> None:
    sign_in(page, dana)
    found = []
    for address in addresses(notice)[:2]:
        page.goto(address)
        wide = page.evaluate("document.documentElement.scrollWidth > innerWidth")
        found.append((Axe().run(page).violations_count, wide))
    assert found == [(0, False)] * 2
