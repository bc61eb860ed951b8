"""The real engine at work in a simulated office: dates of all fans, reckoned anew on news."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from functools import lru_cache
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from schedules.bench.policies.books import Books, calendar
from schedules.engine.calendar_hours import HoursTable
from schedules.engine.due import reckon
from schedules.engine.history import fold_record
from schedules.engine.parameters import DueParams

LAST_WEEK = 6
"""Days: visits fall on one day of the week, and the last one before it is overdue is wanted."""
NO_CHANGES: Mapping[str, float] = MappingProxyType({})
HOURS = range(10, 19)
CALENDARS = tuple(calendar(hours) for hours in HOURS)

WAITS = (
    "walk.base_months", "walk.harsh_base_months", "walk.longest_months",
    "walk.harsh_longest_months", "level.watch_days", "level.act_first_days",
    "level.act_second_days", "level.act_later_days", "step.days", "follow_up.watch_days",
    "follow_up.act_days", "follow_up.temporary_days", "cleaning.due_days", "cleaning.overdue_days",
    "cleaning.expected_due_days",
)  # fmt: skip
"""What an interval multiplier stretches.

Left as they are: months between code inspections and depths of grease (NFPA 96), hours of bearings
and new belts (handbooks), the share of a warning time (SAE JA1011), and what is wrong now.
"""


def stretched(multiplier: float, settings: Mapping[str, float] = NO_CHANGES) -> DueParams:
    """The defaults but for `settings`, by dotted name, with every wait of `WAITS` multiplied.

    Raises ParameterError as `DueParams.overridden`.
    """
    params, changes = DueParams().overridden(settings), dict[str, float]()
    for setting in params.settings():
        if setting.name in WAITS:
            value = min(max(setting.value * multiplier, setting.about.low), setting.about.high)
            changes[setting.name] = round(value) if isinstance(setting.default, int) else value
    return params.overridden(changes)


@lru_cache(maxsize=1)
def _hours() -> HoursTable:
    return HoursTable(CALENDARS)


class Dates:
    """Earliest due day and its rule of each fan; nothing in them depends on today.

    ``late`` gives the last week's visit before the fan is overdue instead, as who puts visits
    together would.
    """

    def __init__(self, books: Books, fans: int, params: DueParams, *, late: bool = False) -> None:
        self._books, self._params, self._late = books, params, late
        self.due_day: NDArray[np.int64] = np.zeros(fans, dtype=np.int64)
        self.rule: NDArray[np.int64] = np.zeros(fans, dtype=np.int64)
        self.news(range(fans))

    def news(self, fans: Iterable[int]) -> None:
        """Reckon these fans anew, those with rows of one width together."""
        alike = defaultdict(list)
        for fan in fans:
            row = fold_record(self._books.record(fan), self._params)
            place = self._books.hours_a_day(fan) - HOURS.start
            alike[row.dtype.itemsize].append((fan, row, place))
        for rows in alike.values():
            numbers, columns, calendars = zip(*rows, strict=True)
            block = reckon(
                np.concatenate(columns), CALENDARS, np.array(calendars, np.int32),
                self._params, _hours(),
            )  # fmt: skip
            which = np.array(numbers)
            last = np.maximum(block.due_day, block.overdue_after_day - LAST_WEEK)
            self.due_day[which] = last if self._late else block.due_day
            self.rule[which] = block.due_rule
