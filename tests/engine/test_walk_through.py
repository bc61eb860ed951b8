"""Rule 1 against the maintenance table it follows and against days counted by hand."""

from __future__ import annotations

import pytest

from schedules.engine.due import reckon_one
from schedules.engine.record import Action, Event, Machine, Noted
from schedules.engine.walk_through import unused_cleanings
from tests.engine.fans import day, days, fan, iso, rule_date, seen, walk

ACT, WATCH = {"hinge": "act"}, {"hinge": "watch"}
BELT_FAN = (Machine(0, belt_drive=True),)


# NETA MTS, Appendix B, maintenance frequency matrix (via the limits page: confirmed there):
# poor 1.0 / 0.5 / 0.25, average 2.0 / 1.0 / 0.5, good 2.5 / 1.5 / 0.75 for low / medium / high.
# Base 2 months, at most 4; days by hand: half months are 15 days after the whole ones.
@pytest.mark.parametrize(
    ("condition", "reliability", "due"),
    [
        ("poor", "low", "2025-05-10"),
        ("poor", "medium", "2025-04-10"),
        ("poor", "high", "2025-03-25"),
        ("average", "low", "2025-05-10"),  # 2.0 needs condition good
        ("average", "medium", "2025-05-10"),
        ("average", "high", "2025-04-10"),
        ("good", "low", "2025-07-10"),  # 2 x 2.5 = 5 months, cut to 4
        ("good", "medium", "2025-06-10"),
        ("good", "high", "2025-04-25"),  # 1.5 months
    ],
)
def test_walk_through_when_stretching_allowed_then_follows_the_table(
    condition: str, reliability: str, due: str
) -> None:
    verdicts = {"poor": ACT, "average": WATCH, "good": {"hinge": "within"}}[condition]
    looks = (walk("2025-01-10"), walk("2025-03-10", verdicts=verdicts))
    found = days(fan(looks=looks, reliability=reliability, stretching=True), 1)
    assert found is not None
    assert found[0] == due


def test_walk_through_when_good_but_not_stretching_then_base_interval() -> None:
    looks = (walk("2025-01-10"), walk("2025-03-10"))
    assert days(fan(looks=looks), 1) == ("2025-05-10", "2025-05-24")


def test_walk_through_when_harsh_and_good_then_at_most_two_months() -> None:
    looks = (walk("2025-01-10"), walk("2025-03-10"))
    record = fan(looks=looks, harsh=True, reliability="low", stretching=True)
    assert days(record, 1) == ("2025-05-10", "2025-05-24")


def test_walk_through_when_belt_drive_then_one_month() -> None:
    record = fan(looks=(walk("2025-03-10", belt=True),), machines=BELT_FAN)
    assert days(record, 1) == ("2025-04-10", "2025-04-24")


def test_walk_through_when_belt_items_unanswered_then_not_completed() -> None:
    record = fan(looks=(walk("2025-03-10"),), machines=BELT_FAN)
    assert days(record, 1) == ("2024-12-15", "2024-12-29")


def test_walk_through_when_last_day_is_month_end_then_clamped() -> None:
    record = fan(looks=(walk("2024-12-31"),))
    assert days(record, 1) == ("2025-02-28", "2025-03-14")


def test_walk_through_when_never_done_then_two_weeks_after_entry() -> None:
    assert days(fan(), 1) == ("2024-12-15", "2024-12-29")


def test_walk_through_when_as_left_only_then_not_counted() -> None:
    record = fan(looks=(walk("2025-03-10", stage="as_left"),))
    assert days(record, 1) == ("2024-12-15", "2024-12-29")


def test_walk_through_when_one_item_not_reached_then_nothing_is_reset() -> None:
    looks = (walk("2025-01-10"), seen("2025-02-20", ACT))
    assert days(fan(looks=looks), 1) == ("2025-03-10", "2025-03-24")


def test_walk_through_when_seen_once_only_then_not_good() -> None:
    found = rule_date(fan(looks=(walk("2025-03-10"),)), 1)
    assert found is not None
    assert found.args["condition"] == 1


def test_walk_through_when_required_item_unjudged_then_not_good() -> None:
    looks = (walk("2025-01-10", required_unjudged=True), walk("2025-03-10"))
    assert days(fan(looks=looks, stretching=True), 1) == ("2025-05-10", "2025-05-24")


def test_walk_through_when_lasting_fault_returns_then_condition_is_not_spoiled() -> None:
    volts = {"volts": "act"}
    first = walk("2025-01-10", verdicts=volts, lasting=frozenset({"volts"}))
    record = fan(looks=(first, walk("2025-03-10", verdicts=volts)), stretching=True)
    assert days(record, 1) == ("2025-06-10", "2025-06-24")


def test_walk_through_when_lasting_fault_turns_worse_then_it_counts() -> None:
    first = walk("2025-01-10", verdicts={"volts": "watch"}, lasting=frozenset({"volts"}))
    record = fan(looks=(first, walk("2025-03-10", verdicts={"volts": "act"})))
    assert days(record, 1) == ("2025-04-10", "2025-04-24")


def test_walk_through_when_lasting_fault_was_repaired_then_the_next_one_counts() -> None:
    volts = {"volts": "act"}
    first = walk("2025-01-10", verdicts=volts, lasting=frozenset({"volts"}))
    actions = (Action("repaired", "volts", day("2025-01-20")),)
    record = fan(looks=(first, walk("2025-03-10", verdicts=volts)), actions=actions)
    assert days(record, 1) == ("2025-04-10", "2025-04-24")


def test_walk_through_when_fault_noted_as_lasting_then_condition_is_not_spoiled() -> None:
    looks = (walk("2025-01-10"), walk("2025-03-10", verdicts=WATCH))
    note = Noted("hinge", "hinge", "watch", day("2025-03-10"), lasting=True)
    record = fan(looks=looks, noted=(note,), stretching=True)
    assert days(record, 1) == ("2025-06-10", "2025-06-24")


GOOD = (walk("2025-01-10"), walk("2025-03-10"))  # due 2025-05-10, overdue after 2025-05-24


def _expecting(*cleanings: str, **facts: object) -> tuple[str, str, str | None]:
    record = fan(looks=GOOD, expected_cleanings=tuple(map(day, cleanings)), **facts)
    found, not_before = rule_date(record, 1), reckon_one(record).not_before_day
    assert found is not None
    waits = None if not_before is None else iso(not_before)
    return iso(found.due_day), iso(found.overdue_after_day), waits


@pytest.mark.parametrize(
    ("cleaning", "expected"),
    [
        ("2025-05-09", ("2025-05-10", "2025-05-24", None)),
        ("2025-05-10", ("2025-05-17", "2025-05-24", "2025-05-11")),
        ("2025-05-17", ("2025-05-24", "2025-05-24", "2025-05-18")),
        ("2025-05-18", ("2025-05-10", "2025-05-24", None)),
    ],
)
def test_walk_through_when_cleaning_is_expected_then_waits_if_soon_enough(
    cleaning: str, expected: tuple[str, str, str | None]
) -> None:
    assert _expecting(cleaning) == expected


def test_walk_through_when_expected_cleaning_is_done_then_waits_no_longer() -> None:
    done = Event("hood_cleaning", day("2025-04-24"), day("2025-04-24"))
    assert _expecting("2025-05-12", events=(done,)) == ("2025-05-10", "2025-05-24", None)


def test_walk_through_when_condition_is_average_then_does_not_wait() -> None:
    looks = (walk("2025-03-10", verdicts=WATCH),)
    record = fan(looks=looks, expected_cleanings=(day("2025-05-12"),))
    assert days(record, 1) == ("2025-05-10", "2025-05-24")


@pytest.mark.parametrize(
    ("end", "left"),
    [(100, [130]), (110, [130]), (115, [130]), (116, [100]), (151, [100]), (152, [100, 130])],
)
def test_cleaning_when_done_then_uses_up_the_nearest_within_three_weeks(
    end: int, left: list[int]
) -> None:
    assert unused_cleanings([100, 130], [end], 21) == left
