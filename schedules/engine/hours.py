"""Rule 3, running hours: bearings are regreased when the hours of their interval have run out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from schedules.engine import hour_meter
from schedules.engine.bearings import frame_interval_h, regrease_interval_h
from schedules.engine.calendar_layout import fingerprint
from schedules.engine.parameters import DueParams
from schedules.engine.record import FanRecord, Machine
from schedules.engine.rule import (
    SILENT,
    Columns,
    Fields,
    RuleColumns,
    Shared,
    side_by_side,
    silence,
)
from schedules.engine.series import Floats

number = 3
whys = ("", "maker_interval", "bearing_interval", "frame_interval")
cannot_tells = ("", "no_bearing_data", "no_speed", "no_bore", "no_calendar")
arg_names = (
    "interval_h", "done_day", "never_done", "known_day", "known_hours", "meter", "ratio",
)  # fmt: skip
"""``known_hours`` had run by the end of ``known_day``; ``meter`` is a kind of ``hour_meter``."""

SEALED, GREASED, UNTOLD = range(3)


def fields(room: int) -> Fields:
    """What the interval follows from, when it began, the calendar, and the hour meter since.

    ``calendar_key`` is the calendar's ``fingerprint``, 0 for none: who reckons need not ask again
    which calendar a fan has.
    """
    return (
        ("calendar_key", "i8"),
        ("bearing_kind", "i1"),
        ("bearing_rpm", "f8"),
        ("bearing_bore_mm", "f8"),
        ("bearing_c", "f8"),
        ("bearing_frame", "i2"),
        ("bearing_vertical", "?"),
        ("bearing_maker_h", "f8"),
        ("greased_day", "i4"),
        ("greased_never", "?"),
        *hour_meter.fields(room),
    )


def fold(record: FanRecord, params: DueParams) -> Mapping[str, Any]:
    """Pick the bearings of the machine in place, their last greasing and the meter since then."""
    machine = record.machines[-1]
    done = [
        action.day
        for action in record.actions
        if action.kind == "regreased"
        and action.item == "bearings"
        and action.day >= machine.since_day
    ]
    done_day = max(done, default=machine.since_day)
    return {
        "calendar_key": fingerprint(record.calendar) if record.calendar else 0,
        "bearing_kind": _kind(machine),
        "bearing_rpm": machine.rpm,
        "bearing_bore_mm": machine.bore_mm,
        "bearing_c": machine.temperature_c,
        "bearing_frame": machine.frame or 0,
        "bearing_vertical": machine.vertical,
        "bearing_maker_h": machine.maker_regrease_h,
        "greased_day": done_day,
        "greased_never": not done,
        **hour_meter.fold(record.meter, done_day, params.hours),
    }


def _kind(machine: Machine) -> int:
    """Direct drives come with sealed bearings unless somebody says otherwise."""
    if machine.bearings == "greased":
        return GREASED
    return UNTOLD if machine.bearings != "sealed" and machine.belt_drive else SEALED


def _intervals(columns: Columns, params: DueParams) -> tuple[Floats, NDArray[np.int8]]:
    """Interval [h] and the index into ``whys`` of what it is from, shape (N,); NaN for none."""
    rule, vertical = params.hours, columns["bearing_vertical"]
    rpm, frame, given_c = (columns[f"bearing_{name}"] for name in ("rpm", "frame", "c"))
    celsius = np.where(np.isnan(given_c), rule.bearing_temperature_c, given_c)
    bore_mm = columns["bearing_bore_mm"]
    book = regrease_interval_h(rpm, bore_mm, rule.bearing_k, celsius, vertical)
    no_bore = ~(bore_mm > 0)
    if no_bore.any():
        known = np.where(frame > 0, frame, np.nan)
        book = np.where(no_bore, frame_interval_h(known, rpm, rule.frame_duty, vertical), book)
    maker = np.where(columns["bearing_maker_h"] > 0, columns["bearing_maker_h"], np.nan)
    from_book = ~(maker <= book) & ~np.isnan(book)
    return np.fmin(maker, book), np.where(from_book, np.where(no_bore, 3, 2), 1).astype(np.int8)


def _missing(columns: Columns, interval_h: Floats, shared: Shared) -> NDArray[np.int8]:
    """Index into ``cannot_tells`` of the first thing missing, shape (N,)."""
    done = columns["greased_day"]
    no_calendar = ~shared.hours.knows_day(shared.calendar_index, done)
    missing = np.where(np.isnan(interval_h), 3, np.where(no_calendar, 4, 0))
    missing = np.where(columns["bearing_rpm"] > 0, missing, 2)
    kind = columns["bearing_kind"]
    return np.where(kind == GREASED, missing, np.where(kind == UNTOLD, 1, 0)).astype(np.int8)


def reckon(columns: Columns, shared: Shared, params: DueParams) -> RuleColumns:
    """Date the next greasing: the day in which the interval's last hour runs."""
    if not columns["bearing_kind"].any():
        return silence(len(columns), len(arg_names))
    interval_h, source = _intervals(columns, params)
    missing = _missing(columns, interval_h, shared)
    fans = np.flatnonzero((columns["bearing_kind"] == GREASED) & (missing == 0))
    due = np.zeros(len(columns), np.int32)
    args = np.full((len(columns), len(arg_names)), np.nan, np.float32)
    if fans.size:
        facts = hour_meter.MeterFacts(
            columns["greased_day"], columns["meter_day"], columns["meter_gain_h"]
        ).of(fans)
        ran = hour_meter.run_out(
            facts, interval_h[fans], shared.hours, shared.calendar_index[fans], params.hours
        )
        due[fans] = np.where(np.isnan(ran.due_day), SILENT, ran.due_day)
        started = (interval_h, columns["greased_day"], columns["greased_never"])
        args[fans] = side_by_side(*(each[fans] for each in started), *ran.told)
    due, overdue = shared.place(
        due, due + np.int32(params.hours.grace_days), columns["greased_day"]
    )
    return RuleColumns(due, overdue, source, missing, args)
