"""The week's page: the sheet read, each form doing its thing, those who come second told."""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from playwright.sync_api import Page, expect

from fleet.models import Fan, Person
from schedules.models import WeekPlan
from schedules.rounds.services.asked import plan_asked
from schedules.rounds.services.planning import Search
from tests.bookings.booked import NOW
from tests.pages.test_due_list import text_of
from tests.people import sign_in, signed_in
from tests.rounds.weeks import WEDNESDAY, draft, due_fan, left_out, park, plan, stop_at, stops

ADDRESS = "/week/2026-W50/"
pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("monday_before")]


@pytest.fixture
def fans(db: None) -> list[Fan]:
    """Two roofs and a third that nobody can be routed to, planned for Jo Park."""
    there = [due_fan(1), due_fan(2), due_fan(3)]
    there[2].site.latitude = there[2].site.longitude = None
    there[2].site.name = "Far Roof"
    there[2].site.save()
    park()
    plan()
    return there


def change(browser: Client, do: str, seen: int = 1, **told: Any) -> str:
    """What the page says once a form of it was sent."""
    return text_of(browser.post(f"{ADDRESS}change", {"do": do, "seen": seen, **told}, follow=True))


@pytest.mark.parametrize(("who", "status"), [("mara", 200), ("dana", 200), ("theo", 404),
                                             ("olga", 404)])  # fmt: skip
def test_week_then_only_for_those_who_plan(
    who: str, status: int, request: pytest.FixtureRequest
) -> None:
    person = signed_in(request.getfixturevalue(who))
    answers = [person.get(ADDRESS), person.get("/week/", follow=True)]
    assert [each.status_code for each in answers] == [status, status]
    if status == 404:
        assert person.post(f"{ADDRESS}change", {"do": "undo"}).status_code == 404


def test_week_when_none_is_named_then_the_one_at_hand(browser: Client, fans: list[Fan]) -> None:
    assert browser.get("/week/").headers["Location"] == "/week/2026-W49/"


@pytest.mark.parametrize("week", ["2026-W54", "2026", "x", "2026-W53x"])
def test_week_when_there_is_none_of_that_name_then_404(browser: Client, week: str) -> None:
    assert browser.get(f"/week/{week}/").status_code == 404


@pytest.mark.parametrize("words", [
    "Jo Park", "Monday 7 December", "room for", "EF-1 walk-through + code inspection",
    "if it waits", "Driving", "Far Roof", "The site has no coordinates",
    "A manager changes that in the register.",
    "Not published: no technician goes by it.", "Round sheets for paper", "Sheet for paper",
])  # fmt: skip
def test_week_when_planned_then_told(browser: Client, fans: list[Fan], words: str) -> None:
    assert words in text_of(browser.get(ADDRESS))


def test_week_when_a_technician_has_no_round_that_day_then_named(
    browser: Client, fans: list[Fan]
) -> None:
    told = text_of(browser.get(ADDRESS))
    assert "Fri 11 Dec no round: J. Park" in told
    assert "Sat 12 Dec" not in told


def test_week_when_work_has_no_time_then_what_would_make_room(browser: Client) -> None:
    park(hours=[[[420, 540]], *[[]] * 6], reserve_minutes=0)
    for number in (1, 2, 3):
        due_fan(number)
    plan()
    told = text_of(browser.get(ADDRESS))
    assert "More work than time" in told
    assert "that must not wait ha" in told
    assert "One more technician-day, such as J. Park has on Mon 7 Dec 2026, would do " in told


def test_left_out_when_a_manager_reads_then_the_place_to_fix_it_opens(
    mara: Person, fans: list[Fan]
) -> None:
    mara.is_staff = True
    mara.save()
    manager = signed_in(mara)
    address = f"/admin/fleet/site/{fans[2].site_id}/change/"
    assert f'<a href="{address}">Enter its coordinates</a>' in manager.get(ADDRESS).content.decode()
    assert manager.get(address).status_code == 200


def test_week_when_nothing_is_planned_then_says_how(browser: Client) -> None:
    told = text_of(browser.get(ADDRESS))
    assert "Nothing is planned for this week yet." in told


def test_week_when_it_has_more_stops_then_asks_no_more_questions(
    browser: Client, fans: list[Fan]
) -> None:
    counts = []
    for number in (4, 5):
        with CaptureQueriesContext(connection) as asked:
            browser.get(ADDRESS)
        counts.append(len(asked))
        due_fan(number)
        plan()
    assert counts[0] == counts[1]


def test_stop_when_moved_then_there_and_the_price_told(browser: Client, fans: list[Fan]) -> None:
    row = stop_at(fans[0])
    told = change(browser, "move", stop=row.key, technician=row.round.technician_id,
                  day=WEDNESDAY.isoformat())  # fmt: skip
    assert stop_at(fans[0]).round.day == WEDNESDAY
    assert (" USD more; " in told, "Undo this" in told) == (True, True)


@pytest.mark.parametrize("position", [0, 1])
def test_stop_when_moved_to_a_place_in_an_order_then_just_there(
    browser: Client, fans: list[Fan], position: int
) -> None:
    row = stop_at(fans[0])
    change(browser, "move", stop=row.key, technician=row.round.technician_id,
           day=row.round.day.isoformat(), position=position)  # fmt: skip
    assert [stop.key for stop in stops()].index(row.key) == position


@pytest.mark.parametrize("position", ["-1", "next", "1e9"])
def test_stop_when_moved_to_no_place_then_refused_with_it(
    browser: Client, fans: list[Fan], position: str
) -> None:
    row = stop_at(fans[0])
    told = change(browser, "move", stop=row.key, technician=row.round.technician_id,
                  day=WEDNESDAY.isoformat(), position=position)  # fmt: skip
    assert f"{position} is no place in a round" in told
    assert stop_at(fans[0]).round.day == row.round.day


@pytest.mark.parametrize("position", [0, 1])
def test_site_when_put_in_at_a_place_then_just_there(
    browser: Client, fans: list[Fan], position: int
) -> None:
    row = stop_at(fans[0])
    change(browser, "take_out", stop=row.key)
    change(browser, "put_in", 2, site=fans[0].site_id, day=row.round.day.isoformat(),
           technician=row.round.technician_id, position=position)  # fmt: skip
    assert [stop.site_id for stop in stops()].index(fans[0].site_id) == position


def test_stop_when_moved_to_a_day_off_then_what_breaks_is_told(
    browser: Client, fans: list[Fan]
) -> None:
    row = stop_at(fans[0])
    told = change(browser, "move", stop=row.key, technician=row.round.technician_id,
                  day="2026-12-12")  # fmt: skip
    assert "The technician does not work that day: Sat 12 Dec 2026, J. Park" in told


@pytest.mark.parametrize(("do", "at"), [("earlier", 1), ("later", 0)])
def test_stop_when_sent_earlier_or_later_then_in_that_order(
    browser: Client, fans: list[Fan], do: str, at: int
) -> None:
    keys = [stop.key for stop in stops()]
    change(browser, do, stop=keys[at])
    assert [stop.key for stop in stops()] == keys[::-1]


def test_stops_when_swapped_then_in_each_others_place(browser: Client, fans: list[Fan]) -> None:
    keys = [stop.key for stop in stops()]
    change(browser, "swap", stop=keys[0], other=keys[1])
    assert [stop.key for stop in stops()] == keys[::-1]


def test_stop_when_pinned_and_unpinned_then_so(browser: Client, fans: list[Fan]) -> None:
    key, pinned = stop_at(fans[0]).key, []
    for seen, do in enumerate(("pin", "unpin"), 1):
        change(browser, do, seen, stop=key)
        pinned.append(stop_at(fans[0]).pinned)
    assert pinned == [True, False]


def test_stop_when_taken_out_then_left_out_and_put_in_again(
    browser: Client, fans: list[Fan]
) -> None:
    row = stop_at(fans[0])
    told = change(browser, "take_out", stop=row.key)
    assert ("Work that must not wait is left out" in told, left_out()["EF-1"]) == (
        True,
        "taken_out",
    )
    told = change(browser, "put_in", 2, site=fans[0].site_id, day=WEDNESDAY.isoformat(),
                  technician=row.round.technician_id)  # fmt: skip
    assert ("No longer: Work that must not wait" in told, "EF-1" in left_out()) == (True, False)


def test_change_when_undone_then_as_before(browser: Client, fans: list[Fan]) -> None:
    keys = [stop.key for stop in stops()]
    change(browser, "take_out", stop=keys[0])
    change(browser, "undo", 2)
    assert [stop.key for stop in stops()] == keys


def test_change_when_undone_then_told_what_it_was_beside_the_stop(
    browser: Client, fans: list[Fan]
) -> None:
    row = stop_at(fans[0])
    change(browser, "take_out", stop=row.key)
    browser.post(f"{ADDRESS}change", {"do": "undo", "seen": 2, "stop": row.key})
    page = browser.get(ADDRESS).content.decode()
    _, stop = page.split(f'<li id="stop-{row.key}">')
    assert f"Undid: took {row.site.name} out." in stop.split("<h4>")[0]


def test_stop_when_taken_out_then_told_where_its_round_begins(
    browser: Client, fans: list[Fan]
) -> None:
    row = stop_at(fans[0])
    browser.post(f"{ADDRESS}change", {"do": "take_out", "seen": 1, "stop": row.key})
    page = browser.get(ADDRESS).content.decode()
    _, shown = page.split('<section class="round"')
    assert 'id="answer"' in shown.split("<ol")[0]


def test_stops_when_one_is_to_be_swapped_then_chosen_already(
    browser: Client, fans: list[Fan]
) -> None:
    key = stop_at(fans[0]).key
    chosen = f'<option value="{key}" selected>'
    assert browser.get(f"{ADDRESS}?swap={key}").content.decode().count(chosen) == 1


def test_week_when_something_breaks_then_said_on_top(browser: Client, fans: list[Fan]) -> None:
    row = stop_at(fans[0])
    told = change(browser, "move", stop=row.key, technician=row.round.technician_id,
                  day="2026-12-12")  # fmt: skip
    top, _ = told.split(" Publish ")
    assert "Something breaks: B J. Park, Sat 12 Dec" in top


def test_week_when_asked_to_be_planned_then_a_job_does_it(browser: Client, fans: list[Fan]) -> None:
    change(browser, "take_out", stop=stop_at(fans[0]).key)
    assert "asked for this week to be planned" in change(browser, "plan", 2, fresh="on")
    assert plan_asked(now=NOW, search=Search(iterations=30)) == 1
    told = text_of(browser.get(ADDRESS))
    assert ("dana planned the week" in told, len(stops())) == (True, 2)
    assert plan_asked(now=NOW) == 0


def test_week_when_nobody_can_be_sent_then_asking_comes_to_a_sentence(browser: Client) -> None:
    change(browser, "plan", 0)
    assert plan_asked(now=NOW) == 0
    told = text_of(browser.get(ADDRESS))
    assert "The week could not be planned: there is no technician with a home base" in told


def test_second_dispatcher_when_the_first_was_quicker_then_told_and_nothing_changed(
    browser: Client, mara: Person, fans: list[Fan]
) -> None:
    key = stop_at(fans[0]).key
    change(signed_in(mara), "pin", stop=key)
    told = change(browser, "take_out", stop=key)
    assert "Meanwhile the draft of 2026-W50 was changed: mara pinned" in told
    assert (stop_at(fans[0]).key, draft().plan.revision) == (key, 2)


@pytest.mark.parametrize(("do", "told", "words"), [
    ("swap", {}, "Choose the stop. Choose the stop to swap it with."),
    ("move", {"stop": "x", "technician": "1", "day": "x"}, "Choose the stop. Choose the day."),
    ("put_in", {"site": "1"}, "Choose who goes. Choose the day."),
])  # fmt: skip
def test_form_when_something_is_missing_then_told(
    browser: Client, fans: list[Fan], do: str, told: dict[str, str], words: str
) -> None:
    assert words in change(browser, do, **told)


def test_form_when_it_asks_for_what_is_unknown_then_404(browser: Client, fans: list[Fan]) -> None:
    assert browser.post(f"{ADDRESS}change", {"do": "explode"}).status_code == 404


def test_week_when_published_then_told_and_kept_to_be_read(
    browser: Client, fans: list[Fan]
) -> None:
    told = change(browser, "publish")
    assert "Published as version 1: 2 bookings made, 0 moved, 0 withdrawn." in told
    assert "As published in version 1." in told
    change(browser, "take_out", 2, stop=stop_at(fans[0]).key)
    told = text_of(browser.get(ADDRESS))
    assert "stop differs from version 1, which technicians go by" in told
    assert "no longer planned" in told
    old = text_of(browser.get(f"{ADDRESS}?version=1"))
    assert ("Version 1 as published" in old, "Take out" in old) == (True, False)


def test_version_when_there_is_none_then_404(browser: Client, fans: list[Fan]) -> None:
    assert [browser.get(f"{ADDRESS}?version={n}").status_code for n in ("7", "0", "x", "")] == [
        404, 404, 404, 404,
    ]  # fmt: skip


@pytest.mark.browser
@pytest.mark.once
@pytest.mark.django_db(transaction=True)
def test_week_when_changed_by_keyboard_then_told_beside_the_stop_and_sound_at_any_width(
    page: Page, fans: list[Fan], dana: Person
) -> None:
    sign_in(page, dana)
    page.goto(ADDRESS)
    change_of = page.locator(".stops summary").first
    change_of.focus()
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Pin").first.press("Enter")
    told = page.locator(".stops li").first.get_by_role("status")
    expect(told).to_contain_text("Pinned")
    page.locator("details").evaluate_all("all => all.forEach(each => { each.open = true })")
    for width in (360, 768, 1280):
        page.set_viewport_size({"width": width, "height": 900})
        wide = page.evaluate("document.documentElement.scrollWidth > innerWidth")
        assert (width, Axe().run(page).violations_count, wide) == (width, 0, False)
    assert WeekPlan.objects.get().revision == 2
