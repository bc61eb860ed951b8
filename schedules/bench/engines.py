"""The engine without a database: a block against single fans, slopes against SciPy's."""

from __future__ import annotations

import numpy as np
from scipy import stats

from schedules.bench.measuring import medians
from schedules.due.calendars import CalendarBook
from schedules.due.histories import parts
from schedules.due.reading import Blocks
from schedules.due.reckoning import STANDARD
from schedules.engine.due import needs_calendar, reckon
from schedules.engine.slopes import theil_sen

ONE_BY_ONE = 200
SERIES, READINGS = 4_096, 12
BY_SCIPY = 100


def batch_to_scalar() -> float:
    """How many times longer fans take one at a time than in the first block of the fleet."""
    with Blocks(STANDARD, only_stale=False) as blocks:
        stored = blocks.after(0)
    if stored is None:
        raise ValueError("there are no fans; fill the fleet first")
    places, columns = max(parts(stored), key=lambda part: len(part[0]))
    fan_ids = [stored.fan_ids[at] for at in places.tolist()]
    keys = np.where(needs_calendar(columns), columns["calendar_key"], 0)
    calendars, index = CalendarBook().find(fan_ids, keys)
    few = min(ONE_BY_ONE, len(columns))

    def alone() -> None:
        for at in range(few):
            mine = calendars[index[at] : index[at] + 1] if index[at] >= 0 else []
            reckon(columns[at : at + 1], mine, np.array([len(mine) - 1], np.int32), STANDARD)

    taken = medians(
        {"alone": alone, "block": lambda: reckon(columns, calendars, index, STANDARD)}, {}
    )
    return (taken["alone"] / few) / (taken["block"] / len(columns))


def slopes_to_scipy() -> float:
    """How many times longer SciPy takes for one series of twelve readings than we in a batch."""
    rng = np.random.default_rng(12)
    days = np.cumsum(rng.integers(20, 70, (SERIES, READINGS)), axis=1).astype(np.float64)
    values = rng.normal(3, 0.5, days.shape) + days * 0.001

    def by_scipy() -> None:
        for x, y in zip(days[:BY_SCIPY], values[:BY_SCIPY], strict=True):
            stats.theilslopes(y, x)

    taken = medians({"scipy": by_scipy, "ours": lambda: theil_sen(days, values)}, {})
    return (taken["scipy"] / BY_SCIPY) / (taken["ours"] / SERIES)
