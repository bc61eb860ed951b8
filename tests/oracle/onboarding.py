"""A fleet's first import: nothing but a stop is due before a fan's own day."""

from __future__ import annotations

from dataclasses import replace

from schedules.engine.record import FanRecord
from tests.oracle.moments import Live


def onboarded(record: FanRecord, dates: list[Live]) -> list[Live]:
    day = record.onboarding_day
    if day is None or any(look.here for look in record.looks):
        return dates
    return [
        live
        if live.stop
        else replace(live, due=max(live.due, day), overdue=max(live.overdue, day + 14))
        for live in dates
    ]
