"""One button for a place where one stands: what it answers, what it leaves, the record of it."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from fleet.models import Fan
from fleet.quantities import ALWAYS_ANSWERED_BY, WALK_THROUGH_BELT
from schedules.due.bought import is_whole_look
from schedules.phone.form import PLACES
from tests.phone.walks import SENT, begin, finish, go, kept, look, open_label
from tests.visits.roofs import WITHIN, check, log
from visits.models import Check

MOST_AT_ONCE = 4
"""So few things that whoever answers for them has them before the eyes: our choice."""
OWN = r'"ended_at":"[^"]*",|"[0-9a-f-]{36}"|"20\d\d-[^"]*"'
"""What no two records share: ids and times; of one within a second its end is not told."""
browser = pytest.mark.browser
pytestmark = [pytest.mark.once, pytest.mark.django_db(transaction=True)]


def test_places_when_a_walk_looks_at_them_then_no_button_means_more_than_a_few_things() -> None:
    walked = {ALWAYS_ANSWERED_BY.get(entry, (entry,))[0] for entry in WALK_THROUGH_BELT}
    assert max(len(walked.intersection(each.fields)) for each in PLACES) <= MOST_AT_ONCE


def press_all(page: Page) -> None:
    for button in page.locator(".all-so:visible").all():
        button.click()


def walk_places(page: Page) -> None:
    """Each by its button, then that it runs."""
    for place in page.locator(".place").all():
        place.locator(".all-so").click()
    page.locator("[data-field=running] button").first.click()


@browser
def test_places_when_answered_by_their_buttons_then_the_record_is_that_of_each_picked_by_hand(
    phone: Page, fan: Fan
) -> None:
    open_label(phone, fan)
    begin(phone)
    walk_places(phone)
    finish(phone)
    open_label(phone, Fan.objects.get(tag="EF-2"))
    begin(phone)
    look(phone)
    finish(phone)
    expect(phone.locator(".line")).to_have_text(SENT)
    by_button, by_hand = (re.sub(OWN, "", body) for body in kept(phone))
    assert by_button.replace("EF-1", "EF-2") == by_hand
    assert Check.objects.filter(is_whole_look()).count() == 2


@browser
def test_place_when_one_thing_is_looked_at_there_then_it_has_its_button_as_all_others(
    phone: Page, fan: Fan
) -> None:
    open_label(phone, fan)
    begin(phone)
    told = phone.locator(".place").evaluate_all(
        "all => all.map((each) => each.querySelector('.all-so')?.innerText ?? each.innerText)"
    )
    assert [each for each in told if not each.startswith("As it should be:")] == []
    assert any(each.splitlines()[1:] == ["Switch cover, conduit: tight"] for each in told)


PICKED = """() => Object.fromEntries([...document.querySelectorAll('.place .field')].map((row) =>
    [row.dataset.field, row.querySelector('[aria-pressed=true]')?.dataset.code ?? null]))"""


@browser
def test_place_when_answered_by_its_button_then_what_was_said_or_is_open_stays_to_be_picked(
    phone: Page, fan: Fan
) -> None:
    log(check(seen={**WITHIN, "wheel": "dirty", "motor_vents": "dusty"}))
    open_label(phone, fan)
    begin(phone)
    phone.locator("[data-field=hinge] [data-code=loose]").click()
    phone.get_by_role("button", name="Something not reached").click()
    phone.get_by_label("What").select_option("curb")
    go(phone, fan, "tell")
    phone.get_by_role("button", name="Add a finding").click()
    phone.get_by_label("What", exact=True).select_option("guard")
    go(phone, fan, "look")
    press_all(phone)
    phone.locator("[data-field=cable] [data-code=sound]").click()
    left = {"wheel", "motor_vents", "curb", "guard", "cable"}
    wanted = {name: WITHIN.get(name) for name in phone.evaluate(PICKED)}
    assert phone.evaluate(PICKED) == wanted | dict.fromkeys(left) | {"hinge": "loose"}
    told = [each.inner_text().splitlines() for each in phone.locator(".all-so:visible").all()]
    assert told[0] == ["As it should be:", "Flexible cable: sound"]
    go(phone, fan, "sum")
    phone.get_by_role("button", name="Keep and send").click()
    expect(phone.locator(".line")).to_have_text(SENT)
    seen = Check.objects.get(hinge="loose")
    assert (seen.catch, seen.cable, seen.wheel, seen.curb, seen.guard) == ("engaged", *[None] * 4)
