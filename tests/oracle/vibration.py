"""Rule 5: level, step and trend of every series put together."""

from __future__ import annotations

from schedules.engine.record import FanRecord
from tests.oracle.moments import Live
from tests.oracle.series import all_series, looks_since_reset
from tests.oracle.vibration_level import Levels
from tests.oracle.vibration_step import step_dates
from tests.oracle.vibration_trend import trend_dates


def vibration(record: FanRecord, interval_days: int | None) -> list[Live]:
    """All dates of rule 5; ``interval_days`` is rule 1's, None without a walk-through."""
    seen = looks_since_reset(record)
    series = all_series(record, seen)
    levels = Levels(record, seen, series)
    dates = levels.dates()
    for key, one in series.items():
        dates += step_dates(one, seen)
        dates += trend_dates(one, levels.states[key].speaks, interval_days)
    return dates
