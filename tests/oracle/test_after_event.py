"""The oracle's looks after cleanings, storms, new belts and new machines."""

from __future__ import annotations

import pytest

from schedules.engine.record import Action, Calendar, CalendarPeriod, Event, Look, Machine
from tests.engine.fans import day, fan, listed, walk
from tests.oracle.asked import asked

EIGHT_HOURS = Calendar("UTC", (CalendarPeriod(1, (((600, 1080),),) * 7),))
BELT = (Action("replaced", "belt", day("2025-01-10")),)


def event(kind: str, **facts: object) -> tuple[Event, ...]:
    return (Event(kind, day("2025-01-10"), day("2025-01-11"), **facts),)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("kind", "dates"),
    [
        ("hood_cleaning", [("2025-01-18", "2025-01-25")]),
        ("storm", [("2025-01-13", "2025-01-17")]),
        ("power_event", [("2025-01-13", "2025-01-17")]),
        ("kitchen_change", []),
    ],
)
def test_event_when_not_looked_at_then_by_its_kind(kind: str, dates: list[tuple[str, str]]) -> None:
    assert asked(fan(events=event(kind)), 7) == dates


@pytest.mark.parametrize(
    ("look", "settled"),
    [
        (listed("2025-01-12", "hood_cleaning"), True),
        (listed("2025-01-12", "storm"), False),
        (listed("2025-01-12", "hood_cleaning", stage="as_left"), False),
        (listed("2025-01-11", "hood_cleaning"), False),
        (listed("2025-01-11", "hood_cleaning", minute=601), True),
        (listed("2025-01-11", "hood_cleaning", minute=600), False),
    ],
)
def test_event_when_looked_at_later_with_its_whole_list_then_settled(
    look: Look, settled: bool
) -> None:
    record = fan(events=event("hood_cleaning", end_minute=600), looks=(look,))
    assert (asked(record, 7) == []) is settled


@pytest.mark.parametrize(("answered", "settled"), [("2025-01-10", True), ("2025-01-09", False)])
def test_storm_when_the_kitchen_says_it_runs_then_settled(answered: str, settled: bool) -> None:
    record = fan(events=event("storm", running_day=day(answered)))
    assert (asked(record, 7) == []) is settled


# 8 h a day from the day after: 24 h on the third day, 72 h on the ninth, 20 h on the third.
def test_belt_when_new_then_by_running_hours() -> None:
    assert asked(fan(actions=BELT, calendar=EIGHT_HOURS), 7) == [("2025-01-13", "2025-01-19")]


@pytest.mark.parametrize(("on", "settled"), [("2025-01-12", False), ("2025-01-13", True)])
def test_belt_when_looked_at_after_twenty_hours_then_settled(on: str, settled: bool) -> None:
    record = fan(actions=BELT, calendar=EIGHT_HOURS, looks=(listed(on, "new_belt"),))
    assert (asked(record, 7) == []) is settled


def test_belt_when_there_is_no_calendar_then_three_and_seven_days() -> None:
    assert asked(fan(actions=BELT), 7) == [("2025-01-13", "2025-01-17")]


LEFT = {"stage": "as_left", "visit_kind": "replacement"}


def replaced(*looks: Look) -> list[tuple[str, str]]:
    machines = (Machine(1), Machine(day("2025-01-10"), first=False))
    return asked(fan(machines=machines, looks=looks), 7)


START_UP, MONTH = ("2025-01-12", "2025-01-16"), ("2025-02-09", "2025-02-13")


@pytest.mark.parametrize(
    ("looks", "dates"),
    [
        ((), [START_UP, MONTH]),
        ((listed("2025-01-10", "start_up", machine=1),), [MONTH]),
        ((listed("2025-01-10", "start_up", machine=0),), [START_UP, MONTH]),
        ((listed("2025-01-10", "start_up", machine=1, **LEFT),), [MONTH]),
        ((walk("2025-01-23", machine=1),), [START_UP, MONTH]),
        ((walk("2025-01-24", machine=1),), [START_UP]),
        ((listed("2025-01-24", "start_up", machine=1),), []),
    ],
)  # fmt: skip
def test_machine_when_new_then_started_up_and_seen_after_a_month(
    looks: tuple[Look, ...], dates: list[tuple[str, str]]
) -> None:
    assert replaced(*looks) == dates
