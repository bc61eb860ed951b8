"""The oracle's open findings: their days, and every way in which one ends."""

from __future__ import annotations

import pytest

from schedules.engine.record import Action, Decision, Look, Noted
from tests.engine.fans import day, fan, seen
from tests.oracle.asked import asked

ACT = seen("2025-01-10", {"curb": "act"})


@pytest.mark.parametrize(
    ("verdict", "dates"),
    [
        ("within", []),
        ("watch", [("2025-02-09", "2025-02-12")]),
        ("act", [("2025-01-24", "2025-01-27")]),
        ("stop", [("2025-01-10", "2025-01-10")]),
        ("cannot_judge", []),
    ],
)
def test_finding_when_seen_then_looked_at_again_by_its_verdict(
    verdict: str, dates: list[tuple[str, str]]
) -> None:
    assert asked(fan(looks=(seen("2025-01-10", {"curb": verdict}),)), 6) == dates


@pytest.mark.parametrize(
    ("later", "dates"),
    [
        (seen("2025-01-20", {"curb": "within"}), []),
        (seen("2025-01-20", {"curb": "act"}), [("2025-02-03", "2025-02-06")]),
        (seen("2025-01-20", {"curb": "watch"}), [("2025-02-19", "2025-02-22")]),
        (seen("2025-01-20", {"curb": "cannot_judge"}), [("2025-01-24", "2025-01-27")]),
        (seen("2025-01-20", {"hinge": "within"}), [("2025-01-24", "2025-01-27")]),
        (seen("2025-01-10", {"curb": "within"}, stage="as_left"), []),
        (seen("2025-01-10", {"curb": "watch"}, stage="as_left"), [("2025-02-09", "2025-02-12")]),
    ],
)
def test_finding_when_seen_again_then_as_it_is_now(
    later: Look, dates: list[tuple[str, str]]
) -> None:
    assert asked(fan(looks=(ACT, later)), 6) == dates


def test_finding_when_only_seen_as_left_then_none() -> None:
    assert asked(fan(looks=(seen("2025-01-10", {"curb": "act"}, stage="as_left"),)), 6) == []


@pytest.mark.parametrize(("kind", "item"), [("repaired", "curb"), ("replaced", "switch")])
def test_finding_when_its_item_was_repaired_then_settled(kind: str, item: str) -> None:
    looks = (seen("2025-01-10", {"curb" if item == "curb" else "switch_cover": "act"}),)
    assert asked(fan(looks=looks, actions=(Action(kind, item, day("2025-01-10")),)), 6) == []


def test_finding_when_repaired_but_left_bad_then_open() -> None:
    looks = (ACT, seen("2025-01-10", {"curb": "act"}, stage="as_left"))
    record = fan(looks=looks, actions=(Action("repaired", "curb", day("2025-01-10")),))
    assert asked(record, 6) == [("2025-01-24", "2025-01-27")]


def test_finding_when_seen_after_the_repair_of_that_day_then_open() -> None:
    looks = (seen("2025-01-10", {"curb": "act"}, minute=700),)
    record = fan(looks=looks, actions=(Action("repaired", "curb", day("2025-01-10"), 600),))
    assert asked(record, 6) == [("2025-01-24", "2025-01-27")]


def test_finding_when_repaired_for_the_time_being_then_two_weeks_from_then() -> None:
    left = seen("2025-01-12", {"curb": "within"}, stage="as_left")
    record = fan(looks=(ACT, left), actions=(Action("temporary", "curb", day("2025-01-12")),))
    assert asked(record, 6) == [("2025-01-26", "2025-01-29")]


def test_finding_when_declined_then_the_days_double_until_it_is_worse() -> None:
    declined = (Decision("curb", "declined", day("2025-01-15")),)
    assert asked(fan(looks=(ACT,), decisions=declined), 6)[0][0] == "2025-02-07"
    watch = seen("2025-01-09", {"curb": "watch"})
    worse = (watch, seen("2025-01-20", {"curb": "act"}))
    assert asked(fan(looks=worse, decisions=declined), 6)[0][0] == "2025-02-03"


def noted(**facts: object) -> tuple[Noted, ...]:
    return (Noted("curb", "curb", "watch", day("2025-01-10"), **facts),)  # type: ignore[arg-type]


def test_finding_when_it_has_its_own_date_then_that_until_a_look_on_or_after_it() -> None:
    own = noted(recheck_day=day("2025-03-01"))
    early, late = seen("2025-02-01", {"curb": "watch"}), seen("2025-03-01", {"curb": "watch"})
    assert asked(fan(looks=(early,), noted=own), 6)[0][0] == "2025-03-01"
    assert asked(fan(looks=(early, late), noted=own), 6)[0][0] == "2025-03-31"


def test_finding_when_closed_with_a_reason_then_settled() -> None:
    assert asked(fan(looks=(ACT,), noted=noted(closed_day=day("2025-01-11"))), 6) == []


def test_finding_when_noted_of_what_was_seen_then_one_with_the_worse_verdict() -> None:
    assert asked(fan(looks=(ACT,), noted=noted()), 6) == [("2025-01-24", "2025-01-27")]


LASTING = seen("2025-01-10", {"curb": "act"}, lasting=frozenset({"curb"}))


@pytest.mark.parametrize(
    ("later", "dates"),
    [
        ((), []),
        ((("2025-01-20", "act"),), []),
        ((("2025-01-20", "stop"),), [("2025-01-20", "2025-01-20")]),
        ((("2025-01-20", "within"), ("2025-01-30", "act")), [("2025-02-13", "2025-02-16")]),
    ],
)
def test_lasting_when_marked_then_silent_until_worse_or_over(
    later: tuple[tuple[str, str], ...], dates: list[tuple[str, str]]
) -> None:
    looks = tuple(seen(on, {"curb": verdict}) for on, verdict in later)
    assert asked(fan(looks=(LASTING, *looks)), 6) == dates


def test_lasting_when_worked_on_but_left_the_same_then_silent_still() -> None:
    left = seen("2025-01-20", {"curb": "act"}, stage="as_left")
    looks = (LASTING, left, seen("2025-01-30", {"curb": "act"}))
    worked = (Action("adjusted", "curb", day("2025-01-20")),)
    assert asked(fan(looks=looks, actions=worked), 6) == []


def test_vibration_when_seen_then_not_dated_here() -> None:
    looks = (seen("2025-01-10", {"vibration": "act", "vibration_felt": "stop"}),)
    assert asked(fan(looks=looks), 6) == []
