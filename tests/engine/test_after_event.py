"""Rule 7 by examples worked out by hand from the rules."""

from __future__ import annotations

import pytest

from schedules.engine import after_event
from schedules.engine.record import (
    Action,
    Calendar,
    CalendarPeriod,
    Event,
    FanRecord,
    Machine,
)
from tests.engine.fans import day, days, fan, iso, listed, rule_date, walk


def happened(kind: str, start: str, end: str = "", **facts: object) -> Event:
    return Event(kind, day(start), day(end or start), **facts)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("kind", "dates"),
    [
        ("hood_cleaning", ("2025-03-09", "2025-03-16")),  # from its end on 2 March
        ("storm", ("2025-03-04", "2025-03-08")),  # from its start on 1 March
        ("power_event", ("2025-03-04", "2025-03-08")),
        ("kitchen_change", None),
    ],
)
def test_event_when_nobody_looked_then_days_by_kind(
    kind: str, dates: tuple[str, str] | None
) -> None:
    assert days(fan(events=(happened(kind, "2025-03-01", "2025-03-02"),)), 7) == dates


@pytest.mark.parametrize("kind", ["hood_cleaning", "storm", "power_event"])
def test_event_when_its_list_was_answered_later_then_settled(kind: str) -> None:
    record = fan(events=(happened(kind, "2025-03-01"),), looks=(listed("2025-03-02", kind),))
    assert days(record, 7) is None


def test_event_when_one_item_is_missing_then_not_settled() -> None:
    record = fan(events=(happened("storm", "2025-03-01"),), looks=(walk("2025-03-02"),))
    assert days(record, 7) == ("2025-03-04", "2025-03-08")


def test_event_when_looked_at_as_left_only_then_not_settled() -> None:
    looks = (listed("2025-03-02", "storm", stage="as_left"),)
    record = fan(events=(happened("storm", "2025-03-01"),), looks=looks)
    assert days(record, 7) == ("2025-03-04", "2025-03-08")


@pytest.mark.parametrize(
    ("end_minute", "look_minute", "settled"),
    [(300, 301, True), (300, 300, False), (300, None, False), (None, 600, False)],
)
def test_event_when_looked_at_the_same_day_then_settled_only_if_known_later(
    end_minute: int | None, look_minute: int | None, settled: bool
) -> None:
    event = happened("hood_cleaning", "2025-03-01", end_minute=end_minute)
    look = listed("2025-03-01", "hood_cleaning", minute=look_minute)
    assert (days(fan(events=(event,), looks=(look,)), 7) is None) == settled


def test_storm_when_kitchen_says_the_fan_runs_then_nothing_is_due() -> None:
    event = happened("storm", "2025-03-01", running_day=day("2025-03-01"))
    assert days(fan(events=(event,)), 7) is None


def test_cleaning_when_kitchen_says_the_fan_runs_then_still_due() -> None:
    event = happened("hood_cleaning", "2025-03-01", running_day=day("2025-03-01"))
    assert days(fan(events=(event,)), 7) == ("2025-03-08", "2025-03-15")


def test_events_when_several_are_unsettled_then_earliest_of_each() -> None:
    cleaning, storm = happened("hood_cleaning", "2025-03-01"), happened("storm", "2025-03-06")
    record = fan(events=(cleaning, storm))
    found = rule_date(record, 7)
    assert found is not None
    assert (found.why, days(record, 7)) == ("hood_cleaning", ("2025-03-08", "2025-03-13"))


def owed(record: FanRecord) -> tuple[int, str, str, str] | None:
    """How many looks are owed; kind, day and due day of the next; None where there is no other."""
    found = rule_date(record, 7)
    assert found is not None
    args = found.args
    if "next_kind" not in args:
        return None
    kind = after_event.whys[int(args["next_kind"])]
    return int(args["owed_count"]), kind, iso(int(args["next_day"])), iso(int(args["next_due_day"]))


def test_event_when_it_is_the_only_one_then_no_other_look_is_owed() -> None:
    assert owed(fan(events=(happened("storm", "2025-03-01"),))) is None


def test_events_when_several_are_unsettled_then_the_next_look_is_told() -> None:
    events = (happened("hood_cleaning", "2025-03-01"), happened("storm", "2025-03-06"))
    assert owed(fan(events=events)) == (2, "storm", "2025-03-06", "2025-03-09")


def test_belt_and_storm_when_the_storm_comes_first_then_the_belt_is_owed_still() -> None:
    record = fan(
        events=(happened("storm", "2025-03-01"), happened("hood_cleaning", "2025-03-02")),
        actions=BELT, machines=BELT_FAN, calendar=TEN_HOURS,
    )  # fmt: skip
    # storm due on the 4th, the belt's 24th hour on the 6th, the cleaning on the 9th
    assert owed(record) == (3, "new_belt", "2025-03-03", "2025-03-06")


BELT = (Action("replaced", "belt", day("2025-03-03")),)  # a Monday
EIGHT_TO_SIX = CalendarPeriod(day("2025-01-01"), (((480, 1080),),) * 7)
TEN_HOURS = Calendar("America/New_York", (EIGHT_TO_SIX,))
BELT_FAN = (Machine(0, belt_drive=True),)


def test_belt_when_ten_hours_a_day_then_third_and_eighth_day() -> None:
    record = fan(actions=BELT, machines=BELT_FAN, calendar=TEN_HOURS)
    assert days(record, 7) == ("2025-03-06", "2025-03-11")


def test_belt_when_closed_days_between_then_later() -> None:
    calendar = Calendar("America/New_York", (EIGHT_TO_SIX,), (day("2025-03-05"),))
    record = fan(actions=BELT, machines=BELT_FAN, calendar=calendar)
    assert days(record, 7) == ("2025-03-07", "2025-03-12")


def test_belt_when_nights_are_long_then_hours_split_at_midnight() -> None:
    # 18:00 to 02:45 every day: 8.75 h a calendar day from 4 March, 26.25 h by the 6th, 78.75 by
    # the 12th.
    nights = CalendarPeriod(day("2025-01-01"), (((1080, 1605),),) * 7)
    calendar = Calendar("America/Phoenix", (nights,))
    record = fan(actions=BELT, machines=BELT_FAN, calendar=calendar)
    assert days(record, 7) == ("2025-03-06", "2025-03-12")


def test_belt_when_kitchen_never_opens_then_nothing_is_due() -> None:
    calendar = Calendar("America/Phoenix", (CalendarPeriod(day("2025-01-01")),))
    assert days(fan(actions=BELT, machines=BELT_FAN, calendar=calendar), 7) is None


def test_belt_when_no_calendar_then_three_and_seven_days() -> None:
    assert days(fan(actions=BELT, machines=BELT_FAN), 7) == ("2025-03-06", "2025-03-10")


@pytest.mark.parametrize(
    ("looked", "dates"),
    [("2025-03-04", ("2025-03-06", "2025-03-11")), ("2025-03-05", None)],
)
def test_belt_when_looked_at_then_settled_after_twenty_hours(
    looked: str, dates: tuple[str, str] | None
) -> None:
    looks = (listed(looked, "new_belt"),)
    record = fan(actions=BELT, machines=BELT_FAN, calendar=TEN_HOURS, looks=looks)
    assert days(record, 7) == dates


def test_belt_when_looked_at_on_its_own_day_then_not_settled() -> None:
    looks = (listed("2025-03-03", "new_belt"),)
    record = fan(actions=BELT, machines=BELT_FAN, looks=looks)
    assert days(record, 7) == ("2025-03-06", "2025-03-10")


def test_belt_when_machine_came_later_then_forgotten() -> None:
    machines = (*BELT_FAN, Machine(day("2025-03-04"), first=True))
    assert days(fan(actions=BELT, machines=machines), 7) is None


REPLACED = (Machine(0), Machine(day("2025-03-01"), first=False))


def test_machine_when_replaced_then_start_up_check_in_two_days() -> None:
    assert days(fan(machines=REPLACED), 7) == ("2025-03-03", "2025-03-07")


@pytest.mark.parametrize(
    ("stage", "kind", "due"),
    [
        ("as_found", "start_up", "2025-03-31"),
        ("as_left", "replacement", "2025-03-31"),
        ("as_left", "service_call", "2025-03-03"),
    ],
)
def test_machine_when_start_up_list_answered_then_second_look_is_due(
    stage: str, kind: str, due: str
) -> None:
    look = listed("2025-03-01", "start_up", stage=stage, visit_kind=kind, machine=1)
    found = days(fan(machines=REPLACED, looks=(look,)), 7)
    assert found is not None
    assert found[0] == due


@pytest.mark.parametrize(
    ("looked", "dates"),
    [("2025-03-14", ("2025-03-31", "2025-04-04")), ("2025-03-15", None)],
)
def test_machine_when_walked_from_the_second_week_on_then_settled(
    looked: str, dates: tuple[str, str] | None
) -> None:
    looks = (listed("2025-03-01", "start_up", machine=1), walk(looked, machine=1))
    assert days(fan(machines=REPLACED, looks=looks), 7) == dates


def test_machine_when_only_the_old_one_was_seen_that_day_then_still_due() -> None:
    looks = (listed("2025-03-01", "start_up", machine=0),)
    assert days(fan(machines=REPLACED, looks=looks), 7) == ("2025-03-03", "2025-03-07")
