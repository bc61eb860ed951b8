"""Rule 7: looks owed after a cleaning, a storm, a new belt or a new machine."""

from __future__ import annotations

from fleet.quantities import LOOK_LISTS
from schedules.engine.record import Event, FanRecord, Look
from tests.oracle.hours import calendar_hours_on, day_reached
from tests.oracle.moments import Live, later, looks_as_found
from tests.oracle.walk_through import list_of


def answers(look: Look, name: str) -> bool:
    return frozenset(LOOK_LISTS[name]) <= look.answered


def _event_dates(record: FanRecord, event: Event) -> list[Live]:
    if event.kind == "hood_cleaning":
        live = Live(7, event.end_day + 7, event.end_day + 14, event.end_day, why=event.kind)
    elif event.kind in ("storm", "power_event"):
        start = event.start_day
        live = Live(7, start + 3, start + 7, start, why=event.kind)
        if event.running_day is not None and event.running_day >= start:
            return []
    else:
        return []
    settled = any(
        later(look, event.end_day, event.end_minute) and answers(look, event.kind)
        for look in looks_as_found(record)
    )
    return [] if settled else [live]


def _belt_by_hours(record: FanRecord, belt_day: int) -> tuple[int | None, int | None] | None:
    """Days of the 24th and the 72nd running hour; None without a calendar."""
    calendar = record.calendar
    if calendar is None or not calendar.periods:
        return None

    def by_calendar(day: int) -> float:
        return calendar_hours_on(calendar, day)

    return day_reached(by_calendar, belt_day, 24), day_reached(by_calendar, belt_day, 72)


def _belt_settled(record: FanRecord, belt_day: int, timed: bool) -> bool:
    """Whether a look after 20 running hours (a day, without a calendar) saw the new belt."""
    first_day = belt_day + 1
    if timed and record.calendar is not None:
        calendar = record.calendar
        run_in = day_reached(lambda day: calendar_hours_on(calendar, day), belt_day, 20)
        first_day = first_day if run_in is None else run_in
    return any(
        look.day >= first_day and answers(look, "new_belt") for look in looks_as_found(record)
    )


def _belt_dates(record: FanRecord, belt_day: int) -> list[Live]:
    by_hours = _belt_by_hours(record, belt_day)
    due, overdue = by_hours or (belt_day + 3, belt_day + 7)
    if due is None or _belt_settled(record, belt_day, by_hours is not None):
        return []
    return [Live(7, due, due if overdue is None else overdue, belt_day, why="new_belt")]


def _machine_dates(record: FanRecord) -> list[Live]:
    """A new machine's start-up check, and the look after its first weeks.

    The start-up check may be how the machine was left on the replacement visit itself.
    """
    machine = record.machines[-1]
    if machine.first:
        return []
    since, dates = machine.since_day, []
    looks = [look for look in record.looks if look.machine == len(record.machines) - 1]
    started = [
        look
        for look in looks
        if look.day >= since
        and answers(look, "start_up")
        and (look.stage == "as_found" or look.visit_kind == "replacement")
    ]
    if not started:
        dates.append(Live(7, since + 2, since + 6, since, why="start_up"))
    run_in = [look for look in looks if look.day >= since + 14 and look.stage == "as_found"]
    if not any(
        answers(look, "start_up") or list_of(record, look) <= look.answered for look in run_in
    ):
        dates.append(Live(7, since + 30, since + 34, since, why="month"))
    return dates


def after_event(record: FanRecord) -> list[Live]:
    dates = [live for event in record.events for live in _event_dates(record, event)]
    belt_days = [
        action.day
        for action in record.actions
        if action.kind == "replaced" and action.item == "belt"
    ]
    if belt_days and max(belt_days) >= record.machines[-1].since_day:
        dates += _belt_dates(record, max(belt_days))
    return dates + _machine_dates(record)
