"""Tipped fans by crew: which looks count, what is a step, and how sure a share is."""

from __future__ import annotations

import datetime as dt

import pytest

from fleet.models import Fan
from schedules.patterns import tipping
from schedules.patterns.tipping import Crew, crews_of
from schedules.wording.patterns import share_text
from tests.patterns.failing import tipped
from tests.schedules.fans import make_fan, walk
from visits.models import Check

pytestmark = pytest.mark.django_db
TODAY = dt.date(2026, 6, 15)


@pytest.fixture
def fan(db: None) -> Fan:
    return make_fan()


def only() -> Crew:
    (crew,) = crews_of(TODAY)
    return crew


@pytest.mark.parametrize(
    ("before", "after", "worse"),
    [
        ("within", "act", True),
        ("watch", "stop", True),
        ("within", "watch", False),
        ("act", "stop", False),
        ("act", "within", False),
    ],
)
def test_step_then_from_neither_act_nor_stop_to_one_of_them(
    fan: Fan, before: str, after: str, worse: bool
) -> None:
    walk(fan, "2026-04-20", {"hinge": before})
    tipped(fan)
    walk(fan, "2026-05-06", {"hinge": after})
    assert (only().told, [step.subjects for step in only().steps]) == (
        1, [{"hinge": after}] if worse else [],
    )  # fmt: skip


@pytest.mark.parametrize("subject", ["corrosion", "grease_duct"])
def test_what_no_cleaning_harms_then_no_step(fan: Fan, subject: str) -> None:
    walk(fan, "2026-04-20", {subject: "within"})
    tipped(fan)
    walk(fan, "2026-05-06", {subject: "act"})
    assert not only().steps


def test_what_was_not_looked_at_before_then_no_step(fan: Fan) -> None:
    walk(fan, "2026-04-20")
    tipped(fan)
    walk(fan, "2026-05-06", {"vibration_motor_radial": "act"})
    assert not only().steps


@pytest.mark.parametrize(
    ("before", "after", "told"),
    [
        ("2026-01-01", "2026-05-31", 1),
        ("2025-12-31", "2026-05-31", 0),
        ("2026-01-01", "2026-06-01", 0),
        ("2026-05-01", "2026-05-02", 0),
        ("2026-04-30", "2026-05-01", 0),
    ],
)
def test_looks_then_only_near_ones_on_other_days(
    fan: Fan, before: str, after: str, told: int
) -> None:
    walk(fan, before, {"hinge": "within"})
    tipped(fan)
    walk(fan, after, {"hinge": "within"})
    assert (only().tipped, only().told) == (1, told)


@pytest.mark.parametrize("before", [{"hinge": "cannot_judge"}, {"catch": "within"}])
def test_what_could_not_be_judged_before_then_no_step_and_not_told(
    fan: Fan, before: dict[str, str]
) -> None:
    """Nobody knows how it was; a pair of looks without anything in common dilutes no share."""
    walk(fan, "2026-04-20", before)
    tipped(fan)
    walk(fan, "2026-05-06", {"hinge": "act"})
    assert (only().told, only().steps) == (0, [])


def test_look_as_left_then_what_was_found_that_day_still_counts(fan: Fan) -> None:
    """As left only what was done is looked at: the grease box was emptied."""
    found = walk(fan, "2026-04-20", {"hinge": "within", "catch": "act"})
    left = {"grease_box": "within", "catch": "within"}
    Check.objects.create(
        visit=found.visit, fan=fan, machine=found.machine, stage="as_left",
        began_at=found.began_at, judged=left,
    )  # fmt: skip
    tipped(fan)
    walk(fan, "2026-05-06", {"hinge": "act", "catch": "stop"})
    assert [step.subjects for step in only().steps] == [{"hinge": "act", "catch": "stop"}]


def test_machine_replaced_between_then_not_compared(fan: Fan) -> None:
    walk(fan, "2026-04-20", machine=None)
    tipped(fan)
    walk(fan, "2026-05-06")
    assert only().told == 0


def test_tipped_twice_between_looks_then_neither_crew_is_told_of(fan: Fan) -> None:
    walk(fan, "2026-04-20", {"hinge": "within"})
    tipped(fan, "2026-05-01")
    tipped(fan, "2026-05-04")
    walk(fan, "2026-05-06", {"hinge": "act"})
    assert (only().tipped, only().told) == (2, 0)


def test_tipped_by_another_crew_between_then_neither_is_told_of_though_it_has_newer_ones(
    fan: Fan, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What a busy crew did long ago is beyond its newest hundred, not undone."""
    monkeypatch.setattr(tipping, "MOST_EACH", 1)
    walk(fan, "2026-04-20", {"hinge": "within"})
    tipped(fan, "2026-05-01", crew="Small crew")
    tipped(fan, "2026-05-04", crew="Busy crew")
    walk(fan, "2026-05-06", {"hinge": "act"})
    tipped(fan, "2026-06-10", crew="Busy crew")
    assert [(crew.name, crew.told) for crew in crews_of(TODAY)] == [
        ("Busy crew", 0), ("Small crew", 0),
    ]  # fmt: skip


@pytest.mark.parametrize("on", ["2026-04-20", "2026-05-06"])
def test_tipped_again_on_the_day_of_a_look_then_not_told(fan: Fan, on: str) -> None:
    """Which came first is not known (rules.md, A: without times an event is not settled)."""
    walk(fan, "2026-04-20", {"hinge": "within"})
    tipped(fan, "2026-05-01")
    tipped(fan, on, crew="Day crew")
    walk(fan, "2026-05-06", {"hinge": "act"})
    assert [crew.told for crew in crews_of(TODAY)] == [0, 0]


def test_crew_when_spelled_two_ways_then_one(fan: Fan) -> None:
    tipped(fan, "2026-05-01", crew="Night  crew")
    tipped(fan, "2026-06-01", crew="night crew ")
    assert only().tipped == 2


def test_crew_of_one_tipped_fan_then_no_share_is_told(fan: Fan) -> None:
    """1 of 1 is 100 %, and says nothing of a crew: its exact limits are 2.5 and 100 %."""
    walk(fan, "2026-04-20", {"hinge": "within"})
    tipped(fan)
    walk(fan, "2026-05-06", {"hinge": "act"})
    told = share_text(only())
    assert told == "1 of 1; so few fans say nothing of a crew (95 %: 2 to 100 %)"


def test_crew_that_tipped_one_fan_again_and_again_then_no_share_is_told(fan: Fan) -> None:
    """A hinge that gives way each month tells of that fan, ten times over."""
    for month in range(1, 13):
        walk(fan, f"2025-{month:02}-05", {"hinge": "within"})
        tipped(fan, f"2025-{month:02}-10")
        walk(fan, f"2025-{month:02}-15", {"hinge": "act"})
    assert share_text(only()).startswith("12 of 12; so few fans say nothing of a crew")


def test_crew_that_tipped_several_fans_then_its_share_is_told(db: None) -> None:
    for number in range(5):
        fan = make_fan(f"EF-{number}")
        for month in (3, 4):
            walk(fan, f"2026-0{month}-05", {"hinge": "within"})
            tipped(fan, f"2026-0{month}-10")
            walk(fan, f"2026-0{month}-15", {"hinge": "within"})
    assert share_text(only()).startswith("0 of 10, 0 %")


def test_cleaning_without_a_crew_then_that_of_its_system(fan: Fan) -> None:
    fan.system.cleaning_crew = "Day crew"
    fan.system.save()
    tipped(fan, crew="")
    assert only().name == "Day crew"


# Clopper and Pearson's limits of 1 in 4: 0.006 and 0.806, as in any table of theirs.
def test_crew_then_its_share_with_exact_limits(fan: Fan) -> None:
    for month in range(1, 5):
        walk(fan, f"2026-0{month}-05", {"catch": "within"})
        tipped(fan, f"2026-0{month}-10")
        walk(fan, f"2026-0{month}-15", {"catch": "act" if month == 2 else "within"})
    crew = only()
    assert (crew.share, crew.lower, crew.upper) == pytest.approx((0.25, 0.0063, 0.8059), abs=1e-4)


def test_many_tippings_then_the_newest_are_looked_at(
    fan: Fan, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tipping, "MOST_EACH", 2)
    for month in range(1, 5):
        tipped(fan, f"2026-0{month}-10")
    assert only().tipped == 2


def test_many_tippings_of_a_crew_spelled_two_ways_then_the_newest_are_looked_at(
    fan: Fan, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tipping, "MOST_EACH", 2)
    for month in range(1, 5):
        tipped(fan, f"2026-0{month}-10", crew="Night crew" if month % 2 else "night  crew")
    assert only().tipped == 2


def test_cleaning_told_anew_then_counted_once(fan: Fan) -> None:
    wrong = tipped(fan)
    tipped(fan, "2026-05-02", supersedes=wrong, correction_reason="a day later")
    assert only().tipped == 1
