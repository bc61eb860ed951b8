"""The one time axis that all charts of a page share."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.utils.formats import date_format

MOST_NAMED = 7
"""More names than this do not fit beside each other on a phone."""
LEAST_DAYS = 120
MONTHS_APART = (1, 2, 3, 6, 12, 24, 60, 120)


@dataclass(frozen=True, slots=True)
class Tick:
    """The first of a month: named with its month, and with its year below, where there is room."""

    x: str
    month: str = ""
    year: str = ""


@dataclass(frozen=True, slots=True)
class TimeScale:
    """Days from ``first_day`` to ``last_day`` (ordinals) across the whole width."""

    first_day: int
    last_day: int

    def x(self, day: int) -> str:
        """Where a day stands across the width, as a percentage."""
        return f"{self.share(day):.2%}"

    def share(self, day: int) -> float:
        """The same as a share, 0 to 1; what lies outside stands on the edge."""
        share = (day - self.first_day) / (self.last_day - self.first_day)
        return min(max(share, 0.0), 1.0)

    def shows(self, day: int) -> bool:
        return self.first_day <= day <= self.last_day

    def ticks(self) -> list[Tick]:
        """Every month's beginning, some of them named."""
        months = self._months()
        apart = next((n for n in MONTHS_APART if len(months) <= n * MOST_NAMED), MONTHS_APART[-1])
        if apart > 12:
            months = [month for month in months if month.month == 1]
        named = [month for month in months if (month.year * 12 + month.month - 1) % apart == 0]
        return [self._tick(month, named) for month in months]

    def _tick(self, month: date, named: list[date]) -> Tick:
        x = self.x(month.toordinal())
        if month not in named:
            return Tick(x)
        before = named[: named.index(month)]
        new_year = not before or before[-1].year != month.year
        return Tick(x, date_format(month, "M"), str(month.year) if new_year else "")

    def _months(self) -> list[date]:
        day, months = date.fromordinal(self.first_day), []
        year, month = day.year, day.month
        while (begin := date(year, month, 1)).toordinal() <= self.last_day:
            if self.shows(begin.toordinal()):
                months.append(begin)
            year, month = (year + 1, 1) if month == 12 else (year, month + 1)
        return months


def time_scale(days: list[int], today: int) -> TimeScale:
    """An axis from the first of ``days`` to today or beyond, with a little air on both sides.

    It spans at least ``LEAST_DAYS``.
    """
    first, last = min([*days, today]), max([*days, today])
    first = min(first, last - LEAST_DAYS)
    air = max(3, (last - first) // 50)
    return TimeScale(first - air, last + air)
