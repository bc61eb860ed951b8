"""Keep or replace, the sheet for a supplier, and a fan that its owner supplies, on their pages."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.db.models import Q
from django.test import Client
from django.utils import timezone

from fleet.models import Blocker, Fan, Machine, Person, Site, SuppliedFan
from schedules.due.supplied import supplies
from schedules.models import FailureClass
from schedules.rounds.blockers import blockers_of
from schedules.wording.supplied import asked_of_owner
from tests.api.asking import V1, by_key
from tests.pages.fan_visits import lacking, log, told
from tests.people import signed_in
from tests.visits.roofs import WITHIN, check

LOST = {"fan": "EF-1", "item": "motor", "severity": "critical", "loss_of_function": True}
READY = {
    "volts_word": "given_by_qualified", "amps_absent": "not_measured", "rotation": "right",
    "vibration_felt": "none", "setscrews": "tight", "noise": "usual",
}  # fmt: skip


def failed(on: str, item: str = "motor") -> None:
    """Dead and mended that day."""
    work = [{"fan": "EF-1", "kind": "repaired", "item": item}]
    lost = {**LOST, "item": item, "failed_on": on}
    log(check(seen={"running": "dead"}), on=f"{on}T12:00", findings=[lost], actions=work)


def installed(fan: Fan, on: str) -> None:
    fan.machines.update(installed_on=on)


def answer(fan: Fan, person: Person, what: str) -> Any:
    return by_key(person).get(f"{V1}/fans/{fan.pk}/{what}")


# ---- keep or replace


def test_keeping_when_nothing_failed_then_cannot_tell_and_at_most_so_many(
    fan: Fan, dana: Person
) -> None:
    installed(fan, "2020-01-01")
    log(check(seen=WITHIN), on="2025-12-15T09:10")
    log(check(seen=WITHIN), on="2026-06-14T09:10")
    words = told(fan, dana)
    # by hand: 181 days are 0.4956 years, -ln 0.05 / 0.4956 = 6.0
    assert "no failure of its own parts in 6 months watched; at most 6 a year (95 %)" in words


def test_keeping_when_a_visit_was_long_ago_then_its_silence_is_not_watched(
    fan: Fan, dana: Person
) -> None:
    installed(fan, "1999-01-01")
    log(check(seen=WITHIN), on="2001-03-01T09:10")
    log(check(seen=WITHIN), on="2025-12-15T09:10")
    log(check(seen=WITHIN), on="2026-06-14T09:10")
    assert "no failure of its own parts in 6 months watched" in told(fan, dana)


def test_keeping_when_it_failed_often_then_both_costs_a_drawing_and_what_they_rest_on(
    fan: Fan, dana: Person
) -> None:
    installed(fan, "2008-01-01")
    Site.objects.update(repair_cost=900, replacement_cost=5200)
    for on in ("2026-01-05", "2026-02-10", "2026-03-20", "2026-04-27", "2026-06-05"):
        failed(on)
    failed("2026-06-01", "switch")
    parts = (
        "By this reckoning replacing it looks cheaper", "5 failures of its own parts in",
        "1 more was of a part that stays", "900 USD for the repair", "a new machine at 5,200 USD",
        "What keeping it another year costs",
        "if what made it fail goes with it: a cause in supply, switch or surroundings stays",
        "Prices that nobody entered for this site are our choice.",
    )  # fmt: skip
    assert lacking(told(fan, dana), *parts) == []
    api = answer(fan, dana, "keeping").json()
    assert (api["leaning"], api["failures"]) == ("replace", 5)
    assert api["keep"]["lower"] > api["replace"]["expected"]


@pytest.mark.parametrize(
    ("prices", "said"),
    [
        ({"repair_cost": 0, "closed_hours": 0}, "a failure costs nothing"),
        ({"replacement_cost": 1}, "A rough reckoning, not a forecast"),
    ],
)
def test_keeping_when_prices_are_nonsense_then_neither_way_nor_an_age_of_nothing(
    fan: Fan, dana: Person, prices: dict[str, float], said: str
) -> None:
    installed(fan, "2016-01-01")
    Site.objects.update(**prices)
    for on in ("2026-01-05", "2026-02-05", "2026-03-05", "2026-04-05"):
        failed(on)
    words = told(fan, dana)
    assert said in words
    assert "keeping it looks cheaper" not in words
    assert "at about 0 years" not in words


def test_keeping_when_only_parts_that_stay_failed_then_the_answer_says_so(
    fan: Fan, dana: Person
) -> None:
    """Beside *switch failed twice*, no failure of its own parts alone reads as a contradiction."""
    installed(fan, "2020-01-01")
    for on in ("2026-02-05", "2026-05-10"):
        failed(on, "switch")
    api = answer(fan, dana, "keeping").json()
    assert "2 failures were of parts that stay when the machine goes." in api["sentence"]


def test_keeping_when_replaced_for_a_failure_then_that_is_not_the_new_one_s(
    fan: Fan, dana: Person
) -> None:
    installed(fan, "2015-01-01")
    work = {"fan": "EF-1", "kind": "replaced", "item": "machine", "machine": {"serial": "N-1"}}
    log(check(seen={"running": "dead"}), on="2026-06-01T12:00", findings=[LOST], actions=[work])
    api = answer(fan, dana, "keeping").json()
    assert (api["leaning"], api["failures"]) == ("no_failures", 0)


def test_keeping_when_an_owner_asks_then_not_on_how_many_fans_it_rests(
    fan: Fan, dana: Person, olga: Person
) -> None:
    installed(fan, "2020-01-01")
    failed("2026-02-05")
    law = {"fans": 412, "failures": 90, "shape": 2.0, "mean_a_year": 0.2}
    for drive in ("belt", "direct"):
        FailureClass.objects.update_or_create(
            drive=drive, defaults={"fitted_on": "2026-06-01", **law}
        )
    ours, theirs = (answer(fan, who, "keeping").json()["reckoned"] for who in (dana, olga))
    assert "412 fans" in ours
    assert "412" not in theirs
    assert "usual (fans of its drive)" in theirs


def test_keeping_when_put_in_today_then_no_day_is_said_to_be_watched(
    fan: Fan, dana: Person
) -> None:
    today = timezone.now().date()
    Fan.objects.update(entered_on=today)
    installed(fan, f"{today}")
    api = answer(fan, dana, "keeping").json()
    assert "nobody has watched this machine" in api["sentence"]
    assert "1 day watched" not in api["reckoned"]


def test_keeping_when_watched_for_days_then_no_figure(fan: Fan, dana: Person) -> None:
    installed(fan, "2026-03-01")
    log(check(seen=WITHIN), on="2026-03-03T09:10")
    assert "this machine has been watched for too short a time" in told(fan, dana)


def test_keeping_when_nobody_knows_its_age_then_says_so(fan: Fan, dana: Person) -> None:
    failed("2026-03-02")
    assert answer(fan, dana, "keeping").json()["leaning"] == "no_age"


@pytest.mark.parametrize("what", ["keeping", "replacement"])
@pytest.mark.parametrize(("who", "status"), [("theo", 200), ("olga", 200), ("sam", 404)])
def test_replacing_when_asked_then_only_who_may_see_the_site(
    fan: Fan, what: str, who: str, status: int, request: pytest.FixtureRequest
) -> None:
    person = request.getfixturevalue(who)
    assert answer(fan, person, what).status_code == status
    page = signed_in(person).get(f"/fans/{fan.pk}/replacement/")
    assert page.status_code == status


# ---- a fan that its owner supplies


def say(fan: Fan, person: Person, **facts: str) -> int:
    return signed_in(person).post(f"/fans/{fan.pk}/supplied/", facts).status_code


def stage() -> str:
    return next((each.stage for each in supplies(Q())), "done")


def replaced(on: str, **seen: str) -> None:
    machine = {"drive": "direct", "serial": "NEW-1"}
    work = [{"fan": "EF-1", "kind": "replaced", "item": "machine", "machine": machine}]
    left = check(stage="as_left", seen=seen) if seen else check(seen={"running": "dead"})
    log(left, on=f"{on}T09:10", kind="replacement", actions=work)


def test_supplied_fan_when_told_of_then_goes_its_way_and_closes_itself(
    fan: Fan, dana: Person
) -> None:
    stages = []
    for facts in (
        {"what": "upblast"},
        {"what": "upblast", "ordered_on": "2026-01-05"},
        {"what": "upblast", "ordered_on": "2026-01-05", "arrived_on": "2026-01-20",
         "installer": "us"},
    ):  # fmt: skip
        assert say(fan, dana, **facts) == 302
        stages.append(stage())
    replaced("2026-02-02")
    stages.append(stage())
    assert "It waits for its start-up check" in told(fan, dana)
    log(check(seen=READY), on="2026-02-04T09:10", kind="start_up")
    assert (*stages, stage()) == ("to_order", "to_arrive", "to_install", "to_start_up", "done")
    assert SuppliedFan.objects.count() == 1


def test_supplied_fan_when_checked_on_the_replacement_visit_then_done_at_once(
    fan: Fan, dana: Person
) -> None:
    say(fan, dana, ordered_on="2026-01-05")
    replaced("2026-02-02", **READY)
    assert stage() == "done"


def test_supplied_fan_when_it_arrived_before_it_was_ordered_then_told(
    fan: Fan, dana: Person
) -> None:
    assert say(fan, dana, ordered_on="2026-01-05", arrived_on="2026-01-02") == 409


@pytest.mark.parametrize(
    "days",
    [
        {"ordered_on": "2199-01-02"},
        {"arrived_on": "2199-01-02"},
        {"ordered_on": "2026-01-05", "expected_on": "2026-01-02"},
    ],
)
def test_supplied_fan_when_its_days_cannot_be_then_refused(
    days: dict[str, str], fan: Fan, dana: Person
) -> None:
    """What has not come clears no blocker."""
    assert say(fan, dana, **days) == 409
    assert not SuppliedFan.objects.exists()


@pytest.mark.parametrize("who", ["theo", "olga", "sam"])
def test_supplied_page_when_somebody_does_not_plan_then_404(
    fan: Fan, who: str, request: pytest.FixtureRequest
) -> None:
    browser: Client = signed_in(request.getfixturevalue(who))
    assert browser.get(f"/fans/{fan.pk}/supplied/").status_code == 404
    assert browser.post(f"/fans/{fan.pk}/supplied/", {"what": "x"}).status_code == 404


def test_supplied_fan_when_it_stands_and_has_not_come_then_parts_block_its_restart(
    fan: Fan, dana: Person
) -> None:
    log(check(seen={"running": "dead"}), made_safe=[{"fan": "EF-1", "told": "the chef"}])
    say(fan, dana, ordered_on="2026-03-01", expected_on="2026-04-01")
    first, last = dt.date(2026, 3, 9), dt.date(2026, 3, 15)
    (awaited,) = blockers_of(first, last)
    assert (awaited.kind, awaited.cleared_on) == (Blocker.Kind.PARTS, dt.date(2026, 4, 1))
    late = blockers_of(dt.date(2026, 4, 6), dt.date(2026, 4, 12))
    assert [each.cleared_on for each in late] == [None]
    say(fan, dana, ordered_on="2026-03-01", arrived_on="2026-03-10")
    assert blockers_of(first, last) == []


@pytest.mark.parametrize(
    ("facts", "asked"),
    [
        ({}, "tell us when you have ordered"),
        ({"ordered_on": "2026-01-05", "expected_on": "2026-02-05"}, "expected on Thu 5 Feb 2026"),
        ({"ordered_on": "2026-01-05", "arrived_on": "2026-01-20"}, "tell us who installs"),
        ({"arrived_on": "2026-01-20", "installer": "others"}, "so that we check its start-up"),
        ({"arrived_on": "2026-01-20", "installer": "us"}, ""),
    ],
)
def test_owner_then_asked_only_for_what_is_theirs_to_do(
    fan: Fan, dana: Person, facts: dict[str, str], asked: str
) -> None:
    say(fan, dana, **facts)
    words = asked_of_owner(supplies(Q())[0])
    assert asked in words
    assert bool(words) == bool(asked)


def test_machine_when_it_was_there_before_then_not_the_one_supplied(fan: Fan, dana: Person) -> None:
    Machine.objects.filter(fan=fan).update(installed_on="2020-01-01", first_here=False)
    say(fan, dana, ordered_on="2026-01-05")
    assert stage() == "to_arrive"
