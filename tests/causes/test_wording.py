"""What is said of a failure: hedged, complete, with its cautions, and never a promise."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from html import unescape
from typing import Any

import pytest
from django.utils import timezone

from fleet.failure_terms import CAUSES
from fleet.models import Person
from schedules.engine.causes import Past, default_table, why_failed
from schedules.wording.cause_words import BANDS, EVIDENCE, LOOK_CAUTIONS, LOOKS
from schedules.wording.causes import why_words
from tests.api.logs import look, walk
from tests.causes.test_why_failed import FAILED, log
from tests.engine.causes.reading import past_of, read_cases
from tests.people import Roofs, signed_in
from tests.visits.roofs import NOW
from visits.wording import CAUSES as CAUSE_WORDS

CASES = read_cases()
FAILED_ON = date(2026, 3, 3)
PROMISES = re.compile(r"solved|for good|certain|guarantee|will not|never again|the cause is|proves")


def test_words_when_listed_then_every_code_has_some() -> None:
    table = default_table()
    cautions = {code for each in table.looks.values() for code in each.cautions}
    assert set(EVIDENCE) == set(default_table().evidence)
    assert (set(LOOKS), set(LOOK_CAUTIONS)) == (set(table.looks), cautions)
    assert set(BANDS) == {"most_likely", "likely", "possible", "not_shown"}
    assert set(CAUSES) < set(CAUSE_WORDS)


@pytest.mark.parametrize("name", sorted(CASES))
def test_failure_when_told_then_not_determined_and_nothing_promised(name: str) -> None:
    past = past_of(CASES[name])
    for qualified in (True, False):
        said = why_words(why_failed(past, {"wear": 2}, qualified=qualified), FAILED_ON)
        text = " ".join([said.lead, said.last, *said.looks, *(c.sentence for c in said.causes)])
        assert "is not determined" in said.lead
        assert not PROMISES.search(text)
        assert said.cautions == () or "Local codes" in said.cautions[-1]


@pytest.mark.parametrize(
    ("item", "said"), [("breaker", "breaker tripped or failed"), ("belt", "belt failed")]
)
def test_item_when_it_trips_then_not_only_said_to_have_failed(item: str, said: str) -> None:
    told = why_words(why_failed(Past(item, 740_000, 740_000)), FAILED_ON)
    assert told.lead.startswith(f"Why the {said} (")


def test_look_when_it_opens_or_reaches_into_something_then_lock_out_is_said() -> None:
    """OSHA 1910.333(b)(2): de-energise and lock out before circuits or parts are reached."""
    from_outside = ("ask_", "feel_", "see_corrosion", "see_rotation", "see_curb", "see_hinge")
    for code, look_for in default_table().looks.items():
        if look_for.live:
            assert "prove_tester" in look_for.cautions
        elif not code.startswith(from_outside):
            assert "lock_out" in look_for.cautions


def test_failure_when_a_cause_was_recorded_then_that_is_told_and_no_other() -> None:
    why = why_failed(past_of(CASES["switch of fourteen years"]))
    said = why_words(why, FAILED_ON, "Loose connection")
    assert said == replace(said, causes=(), looks=(), cautions=(), last="")
    assert said.lead == (
        "Cause of the failure (disconnecting switch, Tue 3 Mar 2026) as written down: a loose or "
        "burnt connection."
    )


def test_cause_when_on_no_list_then_told_as_it_was_written() -> None:
    said = why_words(
        why_failed(past_of(CASES["switch of fourteen years"])), FAILED_ON, "Rats_4 & B"
    )
    assert said.lead.endswith("as written down: Rats_4 & B.")


def page(fan: Any, person: Person) -> str:
    text = signed_in(person).get(f"/fans/{fan.pk}/").content.decode()
    return unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", text)))


@pytest.mark.django_db
def test_fan_page_when_a_switch_failed_then_says_why_it_may_have(
    roofs: Roofs, dana: Person, olga: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    fan = roofs.bakery
    monkeypatch.setattr(timezone, "now", lambda: NOW)
    log(look(fan, "2026-06-13T09:10", seen={"vibration_felt": "strong"}))
    failed = {"fan": fan.tag, **FAILED}
    log(walk(fan, "2026-06-14T09:10", kind="service_call", checks=[], findings=[failed]))
    ours, theirs = page(fan, dana), page(fan, olga)
    for text in (ours, theirs):
        assert "Why the disconnecting switch failed" in text
        assert "Most likely Vibration. For it: the fan was shaking." in text
    assert ("What would tell most" in ours, "What would tell most" in theirs) == (True, False)


@pytest.mark.django_db
def test_fan_page_when_nothing_failed_then_nothing_is_said_of_why(
    roofs: Roofs, dana: Person
) -> None:
    assert "Why it failed" not in page(roofs.bakery, dana)
