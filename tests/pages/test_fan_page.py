"""A fan's page: whose it is, and that its record reads right from plate to oldest entry."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from playwright.sync_api import Page

from fleet.models import Fan, Machine, Person
from schedules.services import log_decision, log_event, log_visit
from tests.pages.test_due_list import text_of
from tests.people import sign_in, signed_in
from tests.visits.roofs import NOW, PLACE, WITHIN, check, make_roof, visit

SHAKEN = {"vibration_motor_radial": "0.31 in/s"}
PEAK = {"vibration_detector": "peak", "vibration_meter": "overall"}
VOLTS = {"volts_ab": "202 V", "volts_bc": "200 V", "volts_ca": "200 V"}
AMPS = {"amps_a": "2.8 A", "amps_b": "2.8 A", "amps_c": "2.8 A"}


@pytest.fixture
def fan(db: None) -> Fan:
    """EF-1 on Olga's roof at Quay Street, beside EF-2."""
    make_roof()
    return Fan.objects.get(tag="EF-1")


def log(*checks: dict[str, Any], on: str = "2026-03-02T09:10", **parts: Any) -> dict[str, Any]:
    """Log a visit through the door people use; its payload."""
    payload = visit(*checks, on=on, **parts)
    log_visit(payload=payload, by=None, now=NOW)
    return payload


def told(fan: Fan, person: Person, asked: str = "") -> str:
    return text_of(signed_in(person).get(f"/fans/{fan.pk}/{asked}"))


@pytest.mark.django_db
def test_fan_when_nobody_is_signed_in_then_asks_to(client: Client) -> None:
    assert client.get("/fans/1/").headers["Location"] == "/login/?next=/fans/1/"


@pytest.mark.parametrize(
    ("who", "status"), [("dana", 200), ("theo", 200), ("olga", 200), ("sam", 404)]
)
def test_fan_when_opened_then_only_by_who_may_see_its_site(
    fan: Fan, who: str, status: int, request: pytest.FixtureRequest
) -> None:
    person = request.getfixturevalue(who)
    assert signed_in(person).get(f"/fans/{fan.pk}/").status_code == status


def test_fan_when_unknown_then_as_one_that_is_not_yours(fan: Fan, sam: Person) -> None:
    strange, unknown = (told(Fan(pk=pk), sam) for pk in (fan.pk, 987_654))
    assert strange == unknown


def test_fan_when_only_entered_then_its_page_is_whole(fan: Fan, dana: Person) -> None:
    words = told(fan, dana)
    assert all(part in words for part in ("What it is", "Next date", "Nothing is on record yet."))


# ---- what it is


def test_plate_when_dual_then_pairs_as_printed_with_the_one_in_use(fan: Fan, dana: Person) -> None:
    words = told(fan, dana)
    assert all(part in words for part in ("230 V 3.2 A yes, seen", "460 V 1.6 A"))


def test_plate_when_connection_was_never_seen_then_suggested_by_volts_and_said_so(
    fan: Fan, dana: Person
) -> None:
    fan.feeds.update(connected_volts="", connected_confirmed=False)
    log(check(readings=VOLTS))
    words = told(fan, dana)
    assert all(part in words for part in ("230 V 3.2 A only suggested", "Nobody has recorded"))


def test_plate_when_a_part_is_unreadable_then_marked_and_not_blank(fan: Fan, dana: Person) -> None:
    fan.machines.update(unreadable=["frame"])
    assert "Frame cannot be read" in told(fan, dana)


def test_plate_when_an_end_of_a_pair_is_unreadable_then_the_other_stands(
    fan: Fan, dana: Person
) -> None:
    fan.machines.update(volts="230/460", full_load_amps="?/1.6")
    assert "230 V cannot be read" in told(fan, dana)


def test_plate_when_it_does_not_add_up_then_told_and_shown_as_written(
    fan: Fan, dana: Person
) -> None:
    fan.machines.update(volts="230/460", full_load_amps="1/2/3")
    words = told(fan, dana)
    assert all(part in words for part in ("The plate does not add up", "1/2/3"))


def test_plate_when_parts_are_not_on_record_then_named(fan: Fan, dana: Person) -> None:
    assert "Not on record: motor, speed, bearings." in told(fan, dana)


def test_machine_when_replaced_then_the_one_before_keeps_its_line_and_its_checks(
    fan: Fan, dana: Person
) -> None:
    log(check(readings=SHAKEN, context=PEAK), on="2026-02-02")
    new = {"fan": "EF-1", "kind": "replaced", "item": "machine", "machine": {"model": "Orrel 18"}}
    log(on="2026-03-02T09:10", kind="replacement", actions=[new])
    words = told(fan, dana)
    assert all(
        part in words
        for part in (
            "Orrel 18, in place since Mon 2 Mar 2026",
            "before this record to Mon 2 Mar 2026: 1 hp, 230/460 V",
            "As found, on the machine in place until Mon 2 Mar 2026",
        )
    )


# ---- why it is due


def test_next_date_when_a_guard_is_off_then_the_driver_and_runners_up(
    fan: Fan, dana: Person
) -> None:
    log(check(seen={**WITHIN, "guard": "off"}))
    words = told(fan, dana)
    parts = (
        "Code inspection. None by a qualified person on record",
        "After it Open finding Due Mon 2 Mar 2026; overdue the day after. "
        "The guard is off a running drive.",
        "Walk-through Due Thu 2 Apr 2026, overdue after Thu 16 Apr 2026.",
    )
    assert [part for part in parts if part not in words] == []


def test_fan_when_something_is_open_then_the_worst_stands_at_the_top(
    fan: Fan, dana: Person
) -> None:
    log(check(seen={**WITHIN, "guard": "off", "hinge": "loose"}))
    words = told(fan, dana)
    assert "stop is the worst that is open." in words[: words.index("What it is")]


def test_next_date_when_something_cannot_be_told_then_what_to_record(
    fan: Fan, dana: Person
) -> None:
    log(check(seen=WITHIN))
    assert "What cannot be told" in told(fan, dana)


def test_fan_when_made_safe_then_who_was_told_and_who_holds_the_lock(
    fan: Fan, dana: Person
) -> None:
    made_safe = {"fan": "EF-1", "told": "the chef", "lock_holder": "Ruta", "restarts_when": "dry"}
    log(check(seen={"cable": "bare"}), on="2026-06-10T09:10", made_safe=[made_safe])
    assert (
        "Out of service. Made safe; the chef was told. Ruta holds the lock. "
        "It runs again when dry." in told(fan, dana)
    )


@pytest.mark.parametrize(("who", "shown"), [("theo", True), ("olga", False)])
def test_cautions_when_work_is_done_there_then_for_those_who_do_it(
    fan: Fan, who: str, shown: bool, request: pytest.FixtureRequest
) -> None:
    words = told(fan, request.getfixturevalue(who))
    assert ("Local codes, the maker's instructions and licensed people" in words) is shown


def test_cautions_when_the_catch_is_defeated_then_do_not_tip(fan: Fan, theo: Person) -> None:
    log(check(seen={"catch": "defeated"}))
    assert "do not tip it" in told(fan, theo)


# ---- entries


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
    assert "within running runs · noise as usual · vibration by hand none ·" in told(fan, dana)


def test_reading_when_without_a_verdict_then_shown_all_the_same(fan: Fan, dana: Person) -> None:
    log(check(readings={"hour_meter": "1234 h"}, switch_left="off"))
    assert "Hour meter 1234 h; switch left off." in told(fan, dana)


def test_reading_when_first_then_the_siblings_stand_beside_it(fan: Fan, dana: Person) -> None:
    log(check("EF-2", readings=SHAKEN, context=PEAK), on="2026-02-02")
    log(check(readings={"vibration_motor_radial": "0.1 in/s"}, context=PEAK))
    assert "First reading here. Others like it: EF-2 0.31 in/s." in told(fan, dana)


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
    seen = ["EF-2 2.8, 2.8, 2.8 A" in told(fan, dana)]
    Fan.objects.get(tag="EF-2").feeds.update(connected_volts="460")
    assert [*seen, "EF-2 2.8" in told(fan, dana)] == [True, False]


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
    answer = {"recommendation": advice, "answer": "declined", "on": "2026-03-05"}
    log_decision(payload={"id": str(uuid4()), **answer, "note": "Not now."}, by=None, now=NOW)
    words = told(fan, dana)
    parts = (
        "Rain all morning.", "north pin sheared",
        "Finding act Hinge; cause not known; degraded; pin sheared.",
        "Done Hinge repaired for the time being; bolt.",
        "Advice Hinge: Renew it; 120.00 quoted; answer of Thu 5 Mar 2026: declined, “Not now”.",
        "Not reached Curb; weather.",
        "Answer Hinge: declined; “Not now”. Asked was: Renew it.",
    )  # fmt: skip
    assert [part for part in parts if part not in words] == []


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
    assert all(f'href="#entry-{payload["id"]}"' in body for payload in (old, new))


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


# ---- charts


def test_charts_when_there_is_a_course_then_drawn_with_limits_and_told_in_words(
    fan: Fan, dana: Person
) -> None:
    for day, value in (("2026-03-02", "0.12 in/s"), ("2026-05-04", "0.31 in/s")):
        log(check(readings={"vibration_motor_radial": value}, context=PEAK), on=day)
    words = told(fan, dana)
    parts = (
        "Vibration, peak in/s", "start-up 0.3 in/s",
        "Motor, radial: 2 readings, the last 0.31 in/s on Mon 4 May 2026.",
        "Mon 4 May 2026 0.31 in/s watch",
    )  # fmt: skip
    assert [part for part in parts if part not in words] == []


def test_charts_when_peak_and_rms_were_read_then_never_in_one_chart(fan: Fan, dana: Person) -> None:
    for day in ("2026-03-02", "2026-04-02"):
        log(check(readings=SHAKEN, context=PEAK), on=day)
        rms = {"vibration_detector": "rms"}
        log(check(readings={"vibration_motor_radial": "2 mm/s"}, context=rms), on=f"{day}T11:00")
    words = told(fan, dana)
    assert ("Vibration, peak in/s" in words, "Vibration, rms mm/s" in words) == (True, True)


def test_charts_when_a_visit_was_corrected_then_its_readings_are_not_drawn(
    fan: Fan, dana: Person
) -> None:
    log(check(readings=SHAKEN, context=PEAK), on="2026-02-02")
    old = log(check(readings={"vibration_motor_radial": "0.9 in/s"}, context=PEAK))
    log(check(readings=SHAKEN, context=PEAK), supersedes=old["id"], correction_reason="typed wrong")
    assert "2 readings, the last 0.31 in/s" in told(fan, dana)


def test_charts_when_there_is_one_reading_then_none(fan: Fan, dana: Person) -> None:
    log(check(readings=VOLTS))
    assert "What was read" not in told(fan, dana)


# ---- in a browser


@pytest.fixture
def signed_page(page: Page, dana: Person, fan: Fan) -> Page:
    """Dana's browser, with a fan that has something of everything."""
    fan.machines.update(motor_type="three_phase")
    megger = {"insulation": "40 megohm", "insulation_temperature": "28 C"}
    readings = {**VOLTS, **AMPS, **SHAKEN, **megger, "grease_duct": "1600 um"}
    for day in ("2026-02-02", "2026-03-02", "2026-05-02"):
        payload = log(check(seen=WITHIN, readings=readings, context=PEAK), on=day)
    log(check(), supersedes=payload["id"], correction_reason="typed wrong")
    event = {"id": str(uuid4()), **PLACE, "kind": "storm", "started": "2026-04-01"}
    log_event(payload=event, by=None, now=NOW)
    sign_in(page, dana)
    return page


@pytest.mark.browser
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1280])
def test_fan_when_read_by_axe_then_no_violation(
    signed_page: Page, fan: Fan, scheme: Any, width: int
) -> None:
    signed_page.set_viewport_size({"width": width, "height": 740})
    signed_page.emulate_media(color_scheme=scheme)
    signed_page.goto(f"/fans/{fan.pk}/")
    assert signed_page.locator("figure.chart").count() == 5
    assert Axe().run(signed_page).response["violations"] == []


@pytest.mark.browser
def test_fan_when_phone_wide_then_nothing_scrolls_sideways(signed_page: Page, fan: Fan) -> None:
    signed_page.goto(f"/fans/{fan.pk}/")
    assert signed_page.evaluate("document.documentElement.scrollWidth") <= 360


@pytest.mark.browser
def test_charts_when_phone_wide_then_their_words_keep_their_size(
    signed_page: Page, fan: Fan
) -> None:
    signed_page.goto(f"/fans/{fan.pk}/")
    sizes = signed_page.eval_on_selector_all(
        ".chart text", "all => all.map(one => parseFloat(getComputedStyle(one).fontSize))"
    )
    scales = signed_page.eval_on_selector_all(
        ".chart .plot", "all => all.map(one => one.getScreenCTM().a)"
    )
    assert (min(sizes) >= 12, set(scales)) == (True, {1})


@pytest.mark.browser
def test_charts_when_one_under_the_other_then_a_day_stands_at_the_same_place(
    signed_page: Page, fan: Fan
) -> None:
    signed_page.goto(f"/fans/{fan.pk}/")
    places = signed_page.eval_on_selector_all(
        ".chart line.event", "all => all.map(one => Math.round(one.getBoundingClientRect().x))"
    )
    assert (len(places), len(set(places))) == (5, 1)
