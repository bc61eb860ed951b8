"""A fan's page: whose it is, what the fan is, and why it is due."""

from __future__ import annotations

from typing import Any

import pytest
from django.db.models import JSONField, Value
from django.test import Client

from fleet.models import Fan, Person, Site
from schedules.due.odds import SHARE
from schedules.models import WaitingFigure
from tests.pages.fan_visits import PEAK, SHAKEN, VOLTS, lacking, log, told
from tests.people import signed_in
from tests.visits.roofs import WITHIN, check


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
    assert lacking(words, "What it is", "Next date", "Nothing is on record yet.") == []


# ---- what it is


def test_plate_when_dual_then_pairs_as_printed_with_the_one_in_use(fan: Fan, dana: Person) -> None:
    words = told(fan, dana)
    assert lacking(words, "230 V 3.2 A yes, seen", "460 V 1.6 A") == []


def test_plate_when_connection_was_never_seen_then_suggested_by_volts_and_said_so(
    fan: Fan, dana: Person
) -> None:
    fan.feeds.update(connected_volts="", connected_confirmed=False)
    log(check(readings=VOLTS))
    words = told(fan, dana)
    assert lacking(words, "230 V 3.2 A only suggested", "Nobody has recorded") == []


def test_plate_when_a_part_is_unreadable_then_marked_and_not_blank(fan: Fan, dana: Person) -> None:
    fan.machines.update(model="", serial="", unreadable=["frame", "model", "serial"])
    parts = ("Model cannot be read", "Serial cannot be read", "Frame cannot be read")
    assert lacking(told(fan, dana), *parts) == []


def test_feed_when_its_overload_is_set_above_the_plate_then_judged_with_its_basis(
    fan: Fan, dana: Person
) -> None:
    # NFPA 70 430.32(A)(1): at most 125 % of the plate's 3.2 A with a service factor of 1.15
    fan.feeds.update(overload_setting_a=34)
    words = told(fan, dana)
    assert lacking(words, "act Overload set at 34 A, above the 4 A", "Rests on NFPA 70") == []


def test_feed_when_the_plate_allows_it_then_nothing_is_said(fan: Fan, dana: Person) -> None:
    fan.feeds.update(overload_setting_a=3.4, breaker_a=15)
    assert "Rests on" not in told(fan, dana)


@pytest.mark.parametrize("broken", [None, 5, {"volts": 1}, [["volts"]], ["volts", 3]])
def test_plate_when_what_was_unreadable_is_garbled_then_read_as_nothing_and_logged_once(
    fan: Fan, dana: Person, broken: Any, caplog: pytest.LogCaptureFixture
) -> None:
    log(check(seen={**WITHIN, "guard": "off"}, readings=VOLTS))
    fan.machines.update(unreadable=Value(broken, JSONField()))
    client = signed_in(dana)
    statuses = [client.get(url).status_code for url in (f"/fans/{fan.pk}/", "/")]
    complaints = [each for each in caplog.messages if "is no list of names" in each]
    assert (statuses, len(complaints)) == ([200, 200], 1)


def test_plate_when_the_ends_of_a_range_differ_then_printed_as_plates_print_them(
    fan: Fan, dana: Person
) -> None:
    fan.machines.update(volts="208-230/460", full_load_amps="5.0-4.8/2.4")
    assert "208-230 V 5.0-4.8 A" in told(fan, dana)


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
    assert lacking(words, "The plate does not add up", "1/2/3") == []


def test_plate_when_parts_are_not_on_record_then_named(fan: Fan, dana: Person) -> None:
    assert "Not on record: motor, speed, bearings." in told(fan, dana)


def test_machine_when_replaced_then_the_one_before_keeps_its_line_and_its_checks(
    fan: Fan, dana: Person
) -> None:
    log(check(readings=SHAKEN, context=PEAK), on="2026-02-02")
    new = {"fan": "EF-1", "kind": "replaced", "item": "machine", "machine": {"model": "Orrel 18"}}
    log(on="2026-03-02T09:10", kind="replacement", actions=[new])
    words = told(fan, dana)
    parts = (
        "Orrel 18, in place since Mon 2 Mar 2026",
        "before this record to Mon 2 Mar 2026: 1 hp, 230/460 V",
        "As found, on the machine in place until Mon 2 Mar 2026",
    )
    assert lacking(words, *parts) == []


# ---- why it is due


def test_next_date_when_a_guard_is_off_then_the_driver_and_runners_up(
    fan: Fan, dana: Person
) -> None:
    log(check(seen={**WITHIN, "guard": "off"}))
    words = told(fan, dana)
    parts = (
        "stop The guard is off: moving parts are within reach. Found Mon 2 Mar 2026",
        "Code inspection. None by a qualified person on record",
        "After it Open finding Due Mon 2 Mar 2026; overdue the day after. The guard is off",
        "Walk-through Due Thu 2 Apr 2026, overdue after Thu 16 Apr 2026.",
    )
    assert lacking(words, *parts) == []


def test_fan_when_something_is_open_then_the_worst_stands_at_the_top(
    fan: Fan, dana: Person
) -> None:
    log(check(seen={**WITHIN, "guard": "off", "hinge": "loose"}))
    words = told(fan, dana)
    assert "Worst open: stop" in words[: words.index("What it is")]


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
    words = told(fan, dana)
    said = words[words.index("Out of service. Made safe") : words.index("After it")]
    assert lacking(said, "the chef", "Ruta holds the lock. It runs again when dry.") == []


@pytest.mark.parametrize(("who", "shown"), [("theo", True), ("olga", False)])
def test_cautions_when_work_is_done_there_then_for_those_who_do_it(
    fan: Fan, who: str, shown: bool, request: pytest.FixtureRequest
) -> None:
    words = told(fan, request.getfixturevalue(who))
    assert ("Local codes, the maker's instructions and licensed people" in words) is shown


def test_cautions_when_the_catch_is_defeated_then_do_not_tip(fan: Fan, theo: Person) -> None:
    log(check(seen={"catch": "defeated"}))
    assert "do not tip it" in told(fan, theo)


def test_cautions_when_the_motor_has_electronics_then_they_hold_charge(
    fan: Fan, theo: Person
) -> None:
    fan.machines.update(motor_type="ec")
    assert "electronics hold charge" in told(fan, theo)


@pytest.mark.parametrize(("surroundings", "shown"), [("inland", False), ("coastal", True)])
def test_cautions_when_walked_more_than_monthly_then_fall_protection(
    fan: Fan, theo: Person, surroundings: str, shown: bool
) -> None:
    # poor condition halves the base: 2 months inland, 1 month in salt air
    Site.objects.update(surroundings=surroundings)
    log(check(seen={**WITHIN, "cable": "damaged"}))
    assert ("may change what fall protection is demanded" in told(fan, theo)) is shown


@pytest.mark.parametrize(("who", "tells"), [("dana", True), ("olga", False)])
def test_waiting_when_the_fleet_taught_it_then_its_failures_are_the_company_s_alone(
    fan: Fan, who: str, tells: bool, request: pytest.FixtureRequest
) -> None:
    """Owners are not told how often other owners' fans failed."""
    figures = {"seen": 3, "of": 34, "figure": 0.2, "is_learned": True, "fitted_on": "2026-03-02"}
    WaitingFigure.objects.create(name=SHARE, **figures)
    log(check(seen=WITHIN))
    person = request.getfixturevalue(who)
    due = signed_in(person).get(f"/api/v1/due/{fan.pk}").json()["waiting"]["reckoned"]
    for words in (told(fan, person), due):
        assert ("3 of the 34 failures in this fleet of which enough is on record" in words) is tells
        assert ("as failures on record tell" in words) is not tells
