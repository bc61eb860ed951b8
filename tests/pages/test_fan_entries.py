"""A fan's entries: every reading, finding, answer and correction reads right, newest first."""

from __future__ import annotations

import datetime as dt
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Agreement, Fan, Machine, Person
from schedules.services import log_decision, log_event
from tests.pages.fan_visits import AMPS, PEAK, SHAKEN, VOLTS, lacking, log, told
from tests.pages.test_due_list import text_of
from tests.people import signed_in
from tests.visits.roofs import NOW, PLACE, WITHIN, check


def test_reading_when_judged_then_as_typed_with_verdict_sentence_and_basis(
    fan: Fan, dana: Person
) -> None:
    log(check(readings=VOLTS))
    words = told(fan, dana)
    assert (
        "act Volts 202, 200, 200 V 200 V is below 207 V, the least this motor is built for. "
        "Rests on NEMA MG-1, 12.44.1 (confirmed)." in words
    )


def test_walk_through_when_all_is_within_then_one_line(fan: Fan, dana: Person) -> None:
    log(check(seen=WITHIN))
    assert "within runs · noise as usual · vibration by hand none ·" in told(fan, dana)


def test_reading_when_without_a_verdict_then_shown_all_the_same(fan: Fan, dana: Person) -> None:
    log(check(readings={"hour_meter": "1234 h"}, switch_left="off"))
    assert "Hour meter 1234 h; switch left off." in told(fan, dana)


def test_reading_when_first_then_the_siblings_stand_beside_it(fan: Fan, dana: Person) -> None:
    log(check("EF-2", readings=SHAKEN, context=PEAK), on="2026-02-02")
    log(check(readings={"vibration_motor_radial": "0.1 in/s"}, context=PEAK))
    assert "First reading here. Others like it: EF-2 of this site 0.31 in/s." in told(fan, dana)


def test_machine_when_a_visit_brought_it_then_its_entry_tells_it_once(
    fan: Fan, dana: Person
) -> None:
    new = {"fan": "EF-1", "kind": "replaced", "item": "machine",
           "machine": {"model": "Orrel 18", "serial": "N-77", "volts": "230/460"}}  # fmt: skip
    log(on="2026-03-02T09:10", kind="replacement", actions=[new])
    words = told(fan, dana)
    entries = words[words.index("Entries") :]
    assert entries.count("N-77") == 1
    assert "Done Machine replaced; Orrel 18, N-77, 230/460 V." in entries


def test_machine_when_the_register_alone_has_it_then_an_entry_of_its_own(
    fan: Fan, dana: Person
) -> None:
    fan.machines.update(removed_on="2026-03-02")
    Machine.objects.create(fan=fan, installed_on="2026-03-02", first_here=False, model="Orrel 18")
    assert "Machine installed Machine Orrel 18." in told(fan, dana)


def test_reading_when_first_then_no_sibling_at_fault_beside_it(fan: Fan, dana: Person) -> None:
    shaken = {"vibration_motor_radial": "0.9 in/s"}
    log(check("EF-2", readings=shaken, context=PEAK), on="2026-02-02")
    log(check(readings={"vibration_motor_radial": "0.1 in/s"}, context=PEAK))
    assert "First reading here" not in told(fan, dana)


def test_readings_when_judged_by_our_choice_then_said_once_for_all_of_them(
    fan: Fan, dana: Person
) -> None:
    log(check(seen={"wheel": "dirty", "curb": "loose", "hinge": "loose"}))
    words = told(fan, dana)
    assert ("Judged by our choice: curb, wheel." in words, words.count("our choice:")) == (True, 1)


def folded(fan: Fan, person: Person, asked: str = "") -> list[bool]:
    """Whether each entry of the page is folded, from above."""
    body = signed_in(person).get(f"/fans/{fan.pk}/{asked}").content.decode()
    return ["<summary>" in entry for entry in body.split("<article")[1:]]


def test_entries_when_wholly_within_then_folded_but_for_the_newest(fan: Fan, dana: Person) -> None:
    for day in ("2026-01-02", "2026-02-02", "2026-03-02"):
        log(check(seen=WITHIN), on=day)
    assert folded(fan, dana) == [False, True, True]


@pytest.mark.parametrize(
    "more",
    [
        {"seen": {**WITHIN, "hinge": "loose"}},
        {"seen": WITHIN, "notes": "smells of grease"},
        {"seen": WITHIN, "readings": {"capacitor": "10 uF"}},
    ],
)
def test_entry_when_anything_is_not_within_or_written_down_then_not_folded(
    fan: Fan, dana: Person, more: dict[str, Any]
) -> None:
    log(check(**more), on="2026-02-02")
    log(check(seen=WITHIN))
    assert folded(fan, dana) == [False, False]


def test_entry_when_something_was_done_then_not_folded(fan: Fan, dana: Person) -> None:
    done = [{"fan": "EF-1", "kind": "cleaned", "item": "wheel"}]
    log(check(seen=WITHIN), on="2026-02-02", actions=done)
    log(check(seen=WITHIN))
    assert folded(fan, dana) == [False, False]


def test_reading_when_read_otherwise_then_no_sibling_beside_it(fan: Fan, dana: Person) -> None:
    log(check("EF-2", readings=SHAKEN, context=PEAK), on="2026-02-02")
    log(check(readings={"vibration_motor_radial": "2 mm/s"}, context={"vibration_detector": "rms"}))
    assert "First reading here" not in told(fan, dana)


def test_amps_when_first_then_only_the_same_motor_on_the_same_volts_beside_them(
    fan: Fan, dana: Person
) -> None:
    Machine.objects.update(model="Orrel 18")
    log(check("EF-2", readings=AMPS), on="2026-02-02")
    log(check(readings=AMPS))
    seen = ["EF-2 of this site 2.8, 2.8, 2.8 A" in told(fan, dana)]
    Fan.objects.get(tag="EF-2").feeds.update(connected_volts="460")
    assert [*seen, "EF-2 of this site 2.8" in told(fan, dana)] == [True, False]


def test_visit_when_everything_is_told_then_all_of_it_reads(fan: Fan, dana: Person) -> None:
    advice = str(uuid4())
    log(
        check(seen={"hinge": "broken"}, notes="north pin sheared"),
        findings=[{"fan": "EF-1", "item": "hinge", "severity": "degraded", "note": "pin sheared"}],
        actions=[{"fan": "EF-1", "kind": "temporary", "item": "hinge", "part": "bolt"}],
        recommendations=[
            {"id": advice, "fan": "EF-1", "subject": "hinge", "text": "Renew it.", "cost": "120.00"}
        ],
        not_reached=[{"fan": "EF-1", "item": "curb", "reason": "weather"}],
        notes="Rain all morning.",
    )
    owner = fan.site.owner
    Agreement.objects.create(owner=owner, starts_on=dt.date(2025, 1, 1), spending_limit=120)
    left_to_us = "120 USD quoted; no answer needed: the agreement lets us spend 120 USD without"
    assert lacking(told(fan, dana), left_to_us) == []
    answer = {"recommendation": advice, "answer": "declined", "on": "2026-03-05"}
    log_decision(payload={"id": str(uuid4()), **answer, "note": "Not now."}, by=None, now=NOW)
    words = told(fan, dana)
    parts = (
        "Rain all morning.", "north pin sheared",
        "Finding act Hinge; cause not known; degraded; pin sheared.",
        "Done Hinge repaired for the time being; bolt.",
        "Advice Hinge: Renew it; 120 USD quoted; answer of Thu 5 Mar 2026: declined, “Not now”.",
        "Not reached Curb; weather.",
        "Answer Hinge: declined; “Not now”. Asked was: Renew it.",
    )  # fmt: skip
    assert lacking(words, *parts) == []


def test_advice_when_nobody_answered_then_says_so(fan: Fan, dana: Person) -> None:
    log(recommendations=[{"fan": "EF-1", "subject": "hinge", "text": "Renew it."}])
    assert "Advice Hinge: Renew it; no answer yet." in told(fan, dana)


def test_event_when_the_hood_was_cleaned_then_what_and_whether_this_fan_was_tipped(
    fan: Fan, dana: Person
) -> None:
    event = {
        "id": str(uuid4()), **PLACE, "kind": "hood_cleaning", "started": "2026-04-01T23:00",
        "ended": "2026-04-02T03:00", "crew": "Night crew", "tipped": ["EF-1"],
        "places_cleaned": ["hood", "duct"], "places_not_cleaned": ["housing"],
    }  # fmt: skip
    log_event(payload=event, by=None, now=NOW)
    assert (
        "Hood cleaning Night crew Began Wed 1 Apr 2026 Cleaned hood, duct "
        "Not cleaned fan housing This fan tipped" in told(fan, dana)
    )


def test_visit_when_corrected_then_struck_with_its_correction_and_why(
    fan: Fan, dana: Person
) -> None:
    old = log(check(seen={"hinge": "broken"}))
    log(check(seen={"hinge": "sound"}), supersedes=old["id"], correction_reason="wrong fan")
    page = signed_in(dana).get(f"/fans/{fan.pk}/")
    struck = "<s>Walk-through</s>" in page.content.decode()
    assert (struck, "Corrected: wrong fan" in text_of(page)) == (True, True)


def test_visit_when_corrected_then_each_of_the_two_leads_to_the_other(
    fan: Fan, dana: Person
) -> None:
    old = log(check())
    new = log(check(), supersedes=old["id"], correction_reason="wrong day")
    body = signed_in(dana).get(f"/fans/{fan.pk}/").content.decode()
    assert all(f'href="#visit-{payload["id"]}"' in body for payload in (old, new))


def test_visit_when_its_correction_leaves_the_fan_out_then_why_and_no_way_there(
    fan: Fan, dana: Person
) -> None:
    old = log(check())
    log(check("EF-2"), supersedes=old["id"], correction_reason="it was EF-2")
    body = signed_in(dana).get(f"/fans/{fan.pk}/").content.decode()
    assert ("Corrected: it was EF-2" in body, 'href="#visit' in body) == (True, False)


def test_visits_when_two_on_a_day_then_the_later_first_with_their_times(
    fan: Fan, dana: Person
) -> None:
    for hour in ("16:05", "9:10"):
        log(check(), on=f"2026-03-02T{hour:0>5}")
    words = told(fan, dana)
    later, earlier = (words.index(f"2 Mar 2026 {clock} Walk") for clock in ("16:05", "9:10"))
    assert later < earlier


def test_entries_when_there_are_many_then_older_ones_on_a_page_of_their_own(
    fan: Fan, dana: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("schedules.fan_page.entries.PAGE", 2)
    for day in ("2026-02-02", "2026-03-02", "2026-04-02"):
        log(check(), on=day)
    first, second = told(fan, dana), told(fan, dana, "?before=2026-03-02")
    newest = ["Thu 2 Apr 2026 Walk-through" in words for words in (first, second)]
    oldest = ["Mon 2 Feb 2026 Walk-through" in words for words in (first, second)]
    assert (newest, oldest) == ([True, False], [False, True])


@pytest.mark.parametrize("before", ["yesterday", "2026-02-30", "%00"])
def test_entries_when_asked_from_no_day_then_says_so(fan: Fan, dana: Person, before: str) -> None:
    answer = signed_in(dana).get(f"/fans/{fan.pk}/?before={before}")
    assert (answer.status_code, "That is no day" in text_of(answer)) == (400, True)


def test_fan_when_its_past_grows_then_no_more_questions_to_the_database(
    fan: Fan, dana: Person
) -> None:
    counts = []
    client = signed_in(dana)
    loose = {**WITHIN, "hinge": "loose"}
    advice = [{"fan": "EF-1", "subject": "hinge", "text": "Renew."}]
    for month in range(2, 6):
        seen = check(seen=loose, readings={**VOLTS, **AMPS, **SHAKEN}, context=PEAK)
        log(seen, on=f"2026-0{month}-02", recommendations=advice)
        with CaptureQueriesContext(connection) as asked:
            client.get(f"/fans/{fan.pk}/")
        counts.append(len(asked))
    assert len(set(counts[1:])) == 1
