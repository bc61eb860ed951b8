"""Rule 3's one task so far: greasing the bearings."""

from __future__ import annotations

from math import isnan, sqrt

from schedules.engine.record import FanRecord, Machine
from tests.oracle.hours import day_reached, running_hours_on
from tests.oracle.moments import Live

# Motor maker's table [h] by highest speed [rpm]: frames up to 210, then 254 to 286.
SMALL_FRAMES = ((900, 22_000), (1200, 18_000), (1800, 12_000), (3600, 5_500))
LARGE_FRAMES = ((1800, 9_500),)


class CannotTellError(Exception):
    """Carries the code of what is missing."""


def _bore_interval_h(machine: Machine) -> float:
    """Handbook: K (14e6 / (n sqrt d) - 4 d), halved per 15 K above 70, at most doubled below."""
    hours = 10 * (14e6 / (machine.rpm * sqrt(machine.bore_mm)) - 4 * machine.bore_mm)
    temperature_c = 70.0 if isnan(machine.temperature_c) else machine.temperature_c
    hours *= min(2.0, 2 ** ((70 - temperature_c) / 15))
    return hours / 2 if machine.vertical else hours


def _frame_interval_h(machine: Machine) -> float | None:
    frame = machine.frame
    if frame is None:
        return None
    small = frame // 10 * 10 <= 210  # 213 and 215 are of the 210 series
    table = SMALL_FRAMES if small else LARGE_FRAMES if 254 <= frame <= 286 else ()
    for speed_rpm, hours in table:
        if machine.rpm <= speed_rpm:
            severe = 0.5 * hours
            return severe / 2 if machine.vertical else severe
    return None


def regrease_interval_h(machine: Machine) -> float:
    if isnan(machine.rpm):
        raise CannotTellError("no_speed")
    handbook = _frame_interval_h(machine) if isnan(machine.bore_mm) else _bore_interval_h(machine)
    makers = None if isnan(machine.maker_regrease_h) else machine.maker_regrease_h
    known = [hours for hours in (handbook, makers) if hours is not None]
    if not known:
        raise CannotTellError("no_bore")
    return min(known)


def last_regreased(record: FanRecord) -> int:
    machine = record.machines[-1]
    days = [
        action.day
        for action in record.actions
        if action.kind == "regreased"
        and action.item == "bearings"
        and action.day >= machine.since_day
    ]
    return max(days, default=machine.since_day)


def _regrease_due(record: FanRecord) -> list[Live]:
    machine = record.machines[-1]
    if machine.bearings != "greased":
        if machine.bearings != "sealed" and machine.belt_drive:
            raise CannotTellError("no_bearing_data")
        return []
    interval_h = regrease_interval_h(machine)
    if record.calendar is None or not record.calendar.periods:
        raise CannotTellError("no_calendar")
    done = last_regreased(record)
    due = day_reached(running_hours_on(record.calendar, record.meter), done, interval_h)
    return [] if due is None else [Live(3, due, due + 7, done)]


def running_hours(record: FanRecord) -> tuple[list[Live], list[str]]:
    try:
        return _regrease_due(record), []
    except CannotTellError as missing:
        return [], [str(missing)]
