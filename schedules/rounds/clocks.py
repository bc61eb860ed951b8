"""One clock for a whole week: the office's, into which sites' hours are turned and back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from schedules.engine.rounds.hours import DAY_MINUTES, Week
from schedules.models import WeekPlan
from schedules.rounds.errors import WeekPlanError

NEXT_QUARTER = 15
YEARS = range(1990, 2201)
"""Weeks beyond are slips of the pen, and days before or after the first or last would be none."""


@dataclass(frozen=True)
class WeekClock:
    """A week as seen from the office at ``now``."""

    monday: date
    zone: ZoneInfo
    now: datetime

    @property
    def today(self) -> date:
        return self.now.astimezone(self.zone).date()

    @property
    def week(self) -> list[date]:
        """Its seven days, Monday first."""
        return WeekPlan(monday=self.monday).days

    @property
    def days(self) -> list[date]:
        """Those on which somebody can still be sent."""
        return [day for day in self.week if day >= self.today]

    @property
    def next_monday(self) -> date:
        return self.monday + timedelta(days=7)

    def earliest_minute(self, day: date) -> int:
        """When on that day somebody can set out at the earliest."""
        if day != self.today:
            return 0
        here = self.now.astimezone(self.zone)
        minute = here.hour * 60 + here.minute
        return -(-minute // NEXT_QUARTER) * NEXT_QUARTER

    def ahead_minutes(self, zone: ZoneInfo, day: date) -> int:
        """How far a site's clock is ahead of the office's at noon of a day."""
        if zone == self.zone:
            return 0
        noon = datetime.combine(day, time(12), self.zone)
        ahead = (noon.astimezone(zone).utcoffset() or timedelta()) - (
            noon.utcoffset() or timedelta()
        )
        return int(ahead.total_seconds() // 60)


def week_named(name: str) -> date:
    """The Monday of a week such as 2026-W50; WeekPlanError for anything else."""
    year, mark, week = name.strip().upper().partition("-W")
    try:
        if not mark or len(year) != 4 or not (year + week).isdecimal() or len(week) > 2:
            raise ValueError
        monday = date.fromisocalendar(int(year), int(week), 1)
    except ValueError:
        told = f"{name[:40]!r} is no week; write the year and the ISO week as in 2026-W50"
        if mark and week == "53":
            told = f"{year} has no week 53; its last is {year}-W52"
        raise WeekPlanError(told) from None
    if monday.year not in YEARS:
        raise WeekPlanError(f"{name[:40]} lies beyond what is planned here; check the year")
    return monday


def shifted(week: Week, minutes: Sequence[int]) -> Week:
    """Weekly hours told by another clock, which is so many minutes ahead on each weekday."""
    if not any(minutes):
        return week
    days: list[list[tuple[int, int]]] = [[] for _ in range(7)]
    for weekday, (spans, ahead) in enumerate(zip(week, minutes, strict=True)):
        for start, end in spans:
            over, begin = divmod(start + ahead, DAY_MINUTES)
            days[(weekday + over) % 7].append((begin, begin + end - start))
    return tuple(tuple(sorted(spans)) for spans in days)
