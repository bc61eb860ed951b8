"""A fan's charts: what is drawn together and what apart, in a real browser too."""

from __future__ import annotations

import re
from uuid import uuid4

import pytest
from playwright.sync_api import Page

from fleet.models import Fan, Person
from schedules.services import log_event
from tests.axe import complaints
from tests.pages.fan_visits import AMPS, PEAK, SHAKEN, VOLTS, lacking, log, told
from tests.people import sign_in, signed_in
from tests.visits.roofs import NOW, PLACE, WITHIN, check

# readings two years old are drawn no more
pytestmark = pytest.mark.usefixtures("monday_before")


def test_charts_when_there_is_a_course_then_drawn_with_limits_and_told_in_words(
    fan: Fan, dana: Person
) -> None:
    for day, value in (("2026-03-02", "0.12 in/s"), ("2026-05-04", "0.31 in/s")):
        log(check(readings={"vibration_motor_radial": value}, context=PEAK), on=day)
    words = told(fan, dana)
    parts = (
        "Vibration, peak in/s", "start-up 0.3 in/s",
        "Motor, radial: 2 readings, the last 0.31 in/s on Mon 4 May 2026.",
        "Mon 4 May 2026 0.31 in/s watch", "Lines across: start-up 0.3 in/s",
    )  # fmt: skip
    assert lacking(words, *parts) == []


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


def test_charts_when_the_wheel_was_balanced_then_that_days_reading_belongs_to_before(
    fan: Fan, dana: Person
) -> None:
    for day in ("2026-02-02", "2026-03-02", "2026-04-02", "2026-05-02"):
        balanced = [{"fan": "EF-1", "kind": "balanced", "item": "wheel"}]
        actions = balanced if day == "2026-03-02" else []
        log(check(readings=SHAKEN, context=PEAK), on=day, actions=actions)
    body = signed_in(dana).get(f"/fans/{fan.pk}/").content.decode()
    lines = re.findall(r'<polyline class="series shape-0" points="([^"]+)"', body)
    assert [len(line.split()) for line in lines] == [2, 2]


def test_charts_when_a_machine_was_replaced_then_what_was_found_that_day_is_the_old_ones(
    fan: Fan, dana: Person
) -> None:
    new = {"fan": "EF-1", "kind": "replaced", "item": "machine", "machine": {"model": "Orrel 18"}}
    for day in ("2026-02-02", "2026-03-02", "2026-04-02", "2026-05-02"):
        replaced = [new] if day == "2026-03-02" else []
        kind = "replacement" if replaced else "walk_through"
        found = check(readings={"grease_housing": "900 um", "grease_duct": "700 um"})
        log(found, on=f"{day}T09:10", kind=kind, actions=replaced)
    body = signed_in(dana).get(f"/fans/{fan.pk}/").content.decode()
    lines = re.findall(r'<polyline class="series shape-0" points="([^"]+)"', body)
    duct, *housing = [len(line.split()) for line in lines]
    assert (duct, housing) == (4, [2, 2])


def test_current_when_read_at_two_speeds_of_a_drive_then_no_line_joins_them(
    fan: Fan, dana: Person
) -> None:
    fan.feeds.update(control="drive")
    fan.machines.update(hertz=60, motor_type="three_phase")
    for day, hz, amps in (
        ("2026-02-02", 60, "2.8 A"), ("2026-03-02", 30, "0.9 A"), ("2026-04-02", 60, "2.8 A"),
        ("2026-05-02", 30, "0.9 A"),
    ):  # fmt: skip
        readings = {"amps_a": amps, "supply_hz": f"{hz} Hz"}
        log(check(readings=readings, context={"amps_place": "drive_output"}), on=day)
    parts = ("Leg A: 2 readings, the last 2.8 A", "Leg A, 30 Hz: 2 readings, the last 0.9 A")
    assert lacking(told(fan, dana), *parts) == []


def _loaded(*legs: tuple[str, str, str]) -> None:
    """Log walk-throughs with these amperes."""
    for day, amps in zip(("2026-02-02", "2026-03-02", "2026-04-02"), legs, strict=False):
        log(check(readings=dict(zip(("amps_a", "amps_b", "amps_c"), amps, strict=True))), on=day)


def test_current_when_its_legs_lie_on_each_other_then_one_line_with_all_figures(
    fan: Fan, dana: Person
) -> None:
    fan.machines.update(motor_type="three_phase")
    _loaded(("2.8 A", "2.8 A", "2.9 A"), ("2.9 A", "2.8 A", "2.8 A"))
    parts = ("Legs A, B, C: 2 readings, the last 2.9, 2.8, 2.8 A", "2.8, 2.8, 2.9 A within")
    assert lacking(told(fan, dana), *parts) == []


def test_current_when_a_leg_stands_apart_then_each_has_its_line_and_verdict(
    fan: Fan, dana: Person
) -> None:
    fan.machines.update(motor_type="three_phase")
    _loaded(("2.8 A", "2.8 A", "2.8 A"), ("3.9 A", "4.0 A", "0.1 A"))
    words = told(fan, dana)
    parts = (
        "Leg A: 2.8 A within", "Leg B: 2.8 A within", "Leg C: 2.8 A within", "Leg C: 0.1 A stop"
    )  # fmt: skip
    assert lacking(words, *parts) == []


def test_grease_when_read_by_the_comb_then_its_interval_with_one_unit(
    fan: Fan, dana: Person
) -> None:
    comb = {"low": 800, "high": 900, "unit": "um"}
    log(check(readings={"grease_duct": comb}))
    assert "Grease in the duct 800–900 µm" in told(fan, dana)


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
def test_fan_when_read_by_axe_then_no_violation_and_no_sideways_scroll(
    signed_page: Page, fan: Fan
) -> None:
    signed_page.goto(f"/fans/{fan.pk}/")
    assert signed_page.locator("figure.chart").count() == 5
    assert complaints(signed_page) == []


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
