"""The drawing on the week's page: what is drawn, told in words, chosen, and reached by keyboard."""

from __future__ import annotations

import datetime as dt
import re
from types import SimpleNamespace

import pytest
from django.test import Client
from playwright.sync_api import Page, expect

from fleet.models import Fan, Person
from schedules.pages.week.drawing import MOST_ROUNDS, lettered, shown_unasked
from schedules.rounds.services.editing import move_stop
from tests.pages.test_due_list import text_of
from tests.people import sign_in, signed_in
from tests.rounds.weeks import MONDAY, WEDNESDAY, due_fan, park, plan, stop_at, who

ADDRESS = "/week/2026-W50/"
pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("monday_before")]


@pytest.fixture
def fans(db: None) -> list[Fan]:
    """Two roofs on two of Jo Park's days, and a third that cannot be drawn."""
    there = [due_fan(1), due_fan(2), due_fan(3)]
    there[2].site.latitude = there[2].site.longitude = None
    there[2].site.name = "Far Roof"
    there[2].site.save()
    person = park()
    plan()
    row = stop_at(there[1])
    move_stop(who(1), stop=row.key, technician=person.pk, day=WEDNESDAY)
    return there


def links_in(told: str) -> list[str]:
    """Where the marks of the broad sheet lead, in order."""
    sheet = told.split('<svg class="sites narrow"')[0].split('<svg class="sites broad"')[1]
    return re.findall(r'<a href="#(stop-[^"]+|left-[^"]+)">', sheet)


def test_drawing_when_the_week_is_drawn_then_each_stop_leads_to_its_line(
    browser: Client, fans: list[Fan]
) -> None:
    told = browser.get(ADDRESS).content.decode()
    wanted = [f"stop-{stop_at(fan).key}" for fan in fans[:2]]
    assert links_in(told) == wanted
    assert [f'<li id="{anchor}"' in told for anchor in wanted] == [True, True]


@pytest.mark.parametrize("words", [
    "2 rounds, 2 stops, 1 site left out. North is above.",
    "A1, Alder Bakery, Mon 7 Dec, ", "J. Park, must not wait", "Base of J. Park",
    "Not drawn, for the register has no coordinates: Far Roof.", "0.5 km", "Whole week",
])  # fmt: skip
def test_drawing_when_read_then_told(browser: Client, fans: list[Fan], words: str) -> None:
    fans[0].site.name = "Alder Bakery"
    fans[0].site.save()
    assert words in text_of(browser.get(ADDRESS))


@pytest.mark.parametrize(("asked", "drawn"), [
    ("2026-12-09", [1]), ("A", [0]), ("all", [0, 1]), ("2026-12-10", [0, 1]), ("x'\"<", [0, 1]),
])  # fmt: skip
def test_drawing_when_a_day_or_a_round_is_asked_for_then_that(
    browser: Client, fans: list[Fan], asked: str, drawn: list[int]
) -> None:
    told = browser.get(ADDRESS, {"drawn": asked}).content.decode()
    assert links_in(told) == [f"stop-{stop_at(fans[n]).key}" for n in drawn]


def test_drawing_when_the_week_was_changed_then_what_was_chosen_before_is_drawn(
    browser: Client, fans: list[Fan]
) -> None:
    browser.get(ADDRESS, {"drawn": "2026-12-09"})
    browser.post(f"{ADDRESS}change", {"do": "pin", "seen": 2, "stop": stop_at(fans[1]).key})
    told = browser.get(ADDRESS).content.decode()
    assert links_in(told) == [f"stop-{stop_at(fans[1]).key}"]


def test_drawing_when_a_left_out_site_has_a_place_then_drawn_and_leads_to_its_reason(
    browser: Client, fans: list[Fan]
) -> None:
    browser.post(f"{ADDRESS}change", {"do": "take_out", "seen": 2, "stop": stop_at(fans[1]).key})
    told = browser.get(ADDRESS).content.decode()
    anchor = f"left-{fans[1].site_id}"
    assert anchor in links_in(told)
    assert f'<li id="{anchor}"' in told


def test_drawing_when_no_site_has_a_place_then_only_the_sentence(browser: Client) -> None:
    fan = due_fan(1)
    fan.site.latitude = fan.site.longitude = None
    fan.site.save()
    park()
    plan()
    told = browser.get(ADDRESS).content.decode()
    assert ("Not drawn" in told, '<svg class="sites' in told) == (True, False)


# The great circle along a meridian: 6371 km times the angle, 111.195 km a degree.
@pytest.mark.parametrize(("degrees", "is_drawn"), [(2.69, True), (2.71, False)])
def test_drawing_when_a_site_is_300_km_from_every_base_then_told_and_not_drawn(
    mara: Person, degrees: float, is_drawn: bool
) -> None:
    near, far = due_fan(1), due_fan(2)
    far.site.latitude, far.site.name = 30.5 + degrees, "Lost Roof"
    far.site.save()
    park()
    plan()
    Person.objects.filter(pk=mara.pk).update(is_staff=True)
    told = signed_in(mara).get(ADDRESS).content.decode()
    fix = (
        "301 km from the nearest base by its coordinates: Lost Roof. "
        f'<a href="/admin/fleet/site/{far.site_id}/change/">Correct'
    )
    assert (f"left-{far.site_id}" in links_in(told), fix in told) == (is_drawn, not is_drawn)
    assert f"stop-{stop_at(near).key}" in links_in(told)


def rounds_on(days: list[dt.date]) -> list[SimpleNamespace]:
    return [SimpleNamespace(technician_id=n % 7, day=day) for n, day in enumerate(days)]


def test_rounds_when_lettered_then_as_the_columns_of_a_ledger() -> None:
    letters = [each.letter for each in lettered(rounds_on([MONDAY] * 29))]  # type: ignore[arg-type]
    assert letters[:2] + letters[25:29] == ["A", "B", "Z", "AA", "AB", "AC"]


@pytest.mark.parametrize(
    ("count", "shown"), [(MOST_ROUNDS, "all"), (MOST_ROUNDS + 1, "2026-12-09")]
)
def test_drawing_when_there_are_many_rounds_then_the_next_day_of_them(
    count: int, shown: str
) -> None:
    rounds = lettered(rounds_on([MONDAY] * (count - 1) + [WEDNESDAY]))  # type: ignore[arg-type]
    assert shown_unasked(rounds, WEDNESDAY) == shown


@pytest.mark.browser
@pytest.mark.once
@pytest.mark.django_db(transaction=True)
def test_drawing_when_gone_through_by_keyboard_then_each_stop_is_reached_and_opens_its_line(
    page: Page, fans: list[Fan], dana: Person
) -> None:
    sign_in(page, dana)
    page.goto(f"{ADDRESS}?drawn=all")
    page.get_by_role("link", name="Past the drawing").focus()
    page.keyboard.press("Tab")
    first = page.get_by_role("link", name=re.compile("^A1, "))
    expect(first).to_be_focused()
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name=re.compile("^B1, "))).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator(".stops li:target")).to_contain_text("walk-through")
    expect(page.get_by_role("group", name="Sites and rounds of the week")).to_be_visible()
