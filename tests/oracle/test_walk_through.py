"""The oracle's walk-through dates against days worked out by hand."""

from __future__ import annotations

import pytest

from schedules.engine.record import Event, Machine
from tests.engine.fans import day, fan, listed, seen, walk
from tests.engine.given import case
from tests.oracle.asked import asked
from tests.oracle.moments import add_months
from tests.oracle.reckon import oracle_reckon

GOOD = (walk("2024-11-30"), walk("2025-01-31"))


# CA-13, month ends and leap days as the python-dateutil documentation has them.
def test_months_when_added_then_clamp_to_the_months_end() -> None:
    inputs, expected = case("CA-13")
    months = [
        (since, step.get("months", 12 * step.get("years", 0))) for since, step in inputs["items"]
    ]
    days = [add_months(day(since), number) for since, number in months]
    assert days == [day(on) for on in expected["dates"]]


def test_walk_through_when_none_was_completed_then_two_weeks_after_entry() -> None:
    assert asked(fan(looks=(seen("2025-01-05"),)), 1) == [("2024-12-15", "2024-12-29")]


def test_walk_through_when_average_then_two_months_on() -> None:
    assert asked(fan(looks=(walk("2025-01-31"),)), 1) == [("2025-03-31", "2025-04-14")]


# NETA MTS Appendix B times two months (one for belts), months to whole ones and x 30 days.
@pytest.mark.parametrize(
    ("reliability", "verdict", "belt", "due"),
    [
        ("low", "act", False, "2025-03-31"),
        ("medium", "stop", False, "2025-02-28"),
        ("high", "act", False, "2025-02-15"),
        ("low", "watch", False, "2025-03-31"),
        ("high", "watch", False, "2025-02-28"),
        ("high", "act", True, "2025-02-07"),
        ("medium", "watch", True, "2025-02-28"),
    ],
)
def test_walk_through_when_condition_is_known_then_by_reliability(
    reliability: str, verdict: str, belt: bool, due: str
) -> None:
    looks = (walk("2025-01-31", belt=True, verdicts={"curb": verdict}),)
    record = fan(looks=looks, machines=(Machine(0, belt_drive=belt),), reliability=reliability)
    assert asked(record, 1)[0][0] == due


@pytest.mark.parametrize(
    ("reliability", "stretching", "due"),
    [
        ("high", False, "2025-03-15"),  # 1.5 months: 28 February + 15 days
        ("medium", False, "2025-03-31"),
        ("medium", True, "2025-04-30"),
        ("low", True, "2025-05-31"),  # five months, held at four
    ],
)
def test_walk_through_when_good_then_stretched_only_if_agreed(
    reliability: str, stretching: bool, due: str
) -> None:
    record = fan(looks=GOOD, reliability=reliability, stretching=stretching)
    assert asked(record, 1)[0][0] == due


def test_walk_through_when_an_item_was_not_reached_then_resets_nothing() -> None:
    record = fan(looks=(walk("2025-01-31"), listed("2025-03-01", "storm")))
    assert asked(record, 1) == [("2025-03-31", "2025-04-14")]


def test_walk_through_when_a_required_item_was_not_judged_then_not_good() -> None:
    looks = (*GOOD[:1], walk("2025-01-31", required_unjudged=True))
    assert asked(fan(looks=looks, stretching=True), 1)[0][0] == "2025-03-31"


def test_walk_through_when_the_fault_is_lasting_then_it_does_not_count() -> None:
    looks = (walk("2025-01-31", verdicts={"curb": "act"}, lasting=frozenset({"curb"})),)
    assert asked(fan(looks=looks), 1)[0][0] == "2025-03-31"


def test_walk_through_when_a_worse_verdict_comes_then_lasting_no_more() -> None:
    marked = seen("2025-01-10", {"curb": "watch"}, lasting=frozenset({"curb"}))
    looks = (marked, walk("2025-01-31", verdicts={"curb": "act"}))
    assert asked(fan(looks=looks), 1)[0][0] == "2025-02-28"


def test_cleaning_when_expected_just_after_the_due_day_then_walk_through_waits_for_it() -> None:
    reckoned = oracle_reckon(fan(looks=GOOD, expected_cleanings=(day("2025-04-02"),)))
    assert (asked(fan(looks=GOOD, expected_cleanings=(day("2025-04-02"),)), 1)) == [
        ("2025-04-09", "2025-04-14")
    ]
    assert reckoned.not_before_day == day("2025-04-03")


@pytest.mark.parametrize("expected", ["2025-03-30", "2025-04-08"])
def test_cleaning_when_before_due_or_too_late_then_nothing_moves(expected: str) -> None:
    record = fan(looks=GOOD, expected_cleanings=(day(expected),))
    assert asked(record, 1) == [("2025-03-31", "2025-04-14")]


def test_cleaning_when_it_came_early_then_its_expected_day_is_used_up() -> None:
    came = Event("hood_cleaning", day("2025-03-20"), day("2025-03-20"))
    record = fan(looks=GOOD, events=(came,), expected_cleanings=(day("2025-04-02"),))
    assert asked(record, 1) == [("2025-03-31", "2025-04-14")]
