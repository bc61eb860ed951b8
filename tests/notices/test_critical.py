"""A stop or critical finding: told the same day, once an occurrence, to owner and dispatcher."""

from __future__ import annotations

import datetime as dt

import pytest

from fleet.models import Fan, Owner, Person
from tests.notices.letters import ADDRESS, at, told, write
from tests.schedules.fans import make_fan, walk
from visits.models import Action, Check, Finding, MadeSafe, Visit

pytestmark = pytest.mark.django_db
DAY = "2026-06-13"  # a Saturday


def stopped_fan(tag: str = "EF-1", on: str = DAY, **visit: object) -> Check:
    """A guard found off at 10:00, logged at once."""
    return stop_at(make_fan(tag), on, **visit)


def stop_at(fan: Fan, on: str = DAY, **visit: object) -> Check:
    check = walk(fan, on, {"guard": "stop"}, guard="off")
    facts = {"received_at": check.visit.began_at, **visit}
    Visit.objects.filter(pk=check.visit_id).update(**facts)
    check.visit.inspections.create(system=fan.system, qualified=True)
    Owner.objects.filter(email="").update(email=ADDRESS)
    return Check.objects.select_related("visit").get(pk=check.pk)


@pytest.fixture
def dana() -> Person:
    return Person.objects.create_user("dana", "dana@here.example", role="dispatcher")


def written(local: str = f"{DAY} 10:30") -> list[str]:
    """Addresses of all letters of the kind once jobs ran at that time."""
    write(at(local))
    return [notice.address for notice in told("critical")]


@pytest.mark.parametrize(
    ("local", "letters"),
    [(f"{DAY} 10:30", 1), (f"{DAY} 20:59", 1), (f"{DAY} 21:00", 0), ("2026-06-14 06:59", 0),
     ("2026-06-14 07:00", 1), ("2026-07-03 10:30", 0)],
)  # fmt: skip
def test_stop_then_told_on_any_day_in_waking_hours(local: str, letters: int) -> None:
    stopped_fan()
    assert len(written(local)) == letters


def test_stop_on_a_holiday_then_told_on_it() -> None:
    stopped_fan(on="2026-07-03")
    assert written("2026-07-03 11:00") == [ADDRESS]


def test_stop_then_told_once_however_often_it_is_found_again() -> None:
    fan = stopped_fan().fan
    written()
    stop_at(fan, "2026-06-20")
    assert written("2026-06-20 11:00") == [ADDRESS]


def test_stop_when_it_was_put_right_between_then_told_again() -> None:
    fan = stopped_fan().fan
    written()
    repaired = walk(fan, "2026-06-15").visit
    Action.objects.create(visit=repaired, fan=fan, kind="repaired", item="guard")
    stop_at(fan, "2026-06-20")
    assert written("2026-06-20 11:00") == [ADDRESS] * 2


def test_stop_of_another_thing_then_told_as_well() -> None:
    fan = stopped_fan().fan
    written()
    check = walk(
        fan, "2026-06-20", {"guard": "stop", "wheel": "stop"}, guard="off", wheel="rubbing"
    )
    Visit.objects.filter(pk=check.visit_id).update(received_at=check.visit.began_at)
    written("2026-06-20 11:00")
    second = told("critical")[1].text
    assert ("The guard is off" in second, "wheel rubs" in second) == (False, True)


def repaired(check: Check) -> None:
    Action.objects.create(visit=check.visit, fan=check.fan, kind="repaired", item="guard")


def left_better(check: Check) -> None:
    facts = {"visit": check.visit, "fan": check.fan, "machine": check.machine, "guard": "on"}
    Check.objects.create(
        **facts, stage="as_left", began_at=check.began_at, judged={"guard": "within"}
    )


def patched(check: Check) -> None:
    Action.objects.create(visit=check.visit, fan=check.fan, kind="temporary", item="guard")


@pytest.mark.parametrize("how", [repaired, left_better, patched])
def test_stop_when_put_right_on_the_same_visit_then_nobody_is_told(
    how: object, dana: Person
) -> None:
    how(stopped_fan())  # type: ignore[operator]
    assert written() == []


@pytest.mark.parametrize(
    "facts",
    [
        {"here": False},
        {"received_at": at("2026-06-01 12:00")},
        {"began_at": at("2026-06-06 10:00")},
    ],
)
def test_stop_when_only_brought_in_or_known_long_then_nobody_is_told(
    facts: dict[str, object], dana: Person
) -> None:
    stopped_fan(**facts)
    assert written() == []


def test_stop_found_here_that_old_files_told_of_then_told() -> None:
    fan = stopped_fan(on="2026-03-02", here=False).fan
    Fan.objects.update(onboarding_on=dt.date(2026, 7, 1))
    stop_at(fan)
    assert written() == [ADDRESS]


def test_stop_on_a_corrected_visit_then_told_once() -> None:
    first = stopped_fan()
    written()
    second = stop_at(first.fan, received_at=at(f"{DAY} 14:00"))
    Visit.objects.filter(pk=second.visit_id).update(
        supersedes=first.visit_id, correction_reason="the wrong belt"
    )
    assert written(f"{DAY} 15:00") == [ADDRESS]


def test_critical_finding_then_told_by_what_it_is_about_without_the_note(dana: Person) -> None:
    check = walk(make_fan(), DAY)
    Owner.objects.update(email=ADDRESS)
    Visit.objects.update(received_at=check.visit.began_at)
    Finding.objects.create(
        visit=check.visit, fan=check.fan, subject="motor", item="motor", severity="critical",
        verdict="act", note="Windings shot, put a repair to the owner",
    )  # fmt: skip
    assert written() == [ADDRESS, "dana@here.example"]
    owner, dispatcher = told("critical")
    assert owner.subject == "Critical fault: exhaust fan EF-1 at Roof of EF-1"
    assert "The motor: a fault was found that has to be put right." in owner.text
    assert ("Windings" in owner.text, "Windings shot" in dispatcher.text) == (False, True)


def test_stop_then_clear_about_the_limit_and_hedged_about_the_cause() -> None:
    stopped_fan()
    written()
    letter = told("critical")[0]
    assert letter.subject == "STOP: exhaust fan EF-1 at Roof of EF-1 must not run"
    for part in (
        "The guard is off: moving parts are within reach.",
        "past the limit up to which a fan may be used",
        "If it still runs, stop cooking under its hood, then switch it off from the kitchen",
        "nothing may be cooked under its hood",
        "Only qualified people may open, repair or restart it.",
        "how it came about is not determined",
        "Local codes, the maker's instructions and licensed people come first.",
    ):
        assert part in letter.text


def test_stop_then_dispatchers_are_told_else_managers(dana: Person) -> None:
    Person.objects.create_user("mara", "mara@here.example", role="manager")
    Person.objects.create_user("theo", "theo@here.example", role="technician")
    stopped_fan("EF-1")
    first = written()
    Person.objects.filter(pk=dana.pk).update(is_active=False)
    stopped_fan("EF-2")
    assert (first, written()[2:]) == (
        [ADDRESS, "dana@here.example"],
        # of what still stands whoever dispatches next learns too
        ["mara@here.example", ADDRESS, "mara@here.example"],
    )


def test_stop_when_the_dispatcher_logged_it_then_only_the_owner_is_told(dana: Person) -> None:
    stopped_fan(recorded_by=dana)
    assert written() == [ADDRESS]


def test_stop_then_the_dispatcher_learns_whether_it_is_safe_and_the_owner_reached(
    dana: Person,
) -> None:
    stopped_fan("EF-1")
    written()
    Owner.objects.update(email="", phone="555-0117")
    check = stopped_fan("EF-2")
    Owner.objects.update(email="")
    MadeSafe.objects.create(
        visit=check.visit, fan=check.fan, told="Rosa Field", lock_holder="Theo Park"
    )
    written()
    bare, safe = (notice.text for notice in told("critical") if notice.person)
    assert "Ask the technician now: is it locked off" in bare
    assert f"The owner is written to at {ADDRESS}." in bare
    assert "Made safe on that visit. Told: Rosa Field. Theo Park holds the lock." in safe
    assert "No email reaches the owner: call. Phone: 555-0117." in safe
