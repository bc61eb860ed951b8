"""Days and moments as people write them; a place's clock is asked for only when it is known."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

EARLIEST_YEAR, LATEST_YEAR = 1950, 2200
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
_MOMENT = re.compile(r"\d{4}-\d{2}-\d{2}[T ]\d{2}:\d{2}[\d:.,Z+-]*", re.ASCII)


@dataclass(frozen=True, slots=True)
class Local:
    """A moment by a site's clock: the day, the minute of that day if known, and the instant."""

    on: date
    minute: int | None
    at: datetime


@dataclass(frozen=True, slots=True)
class Moment:
    """A day, a clock reading without a zone, or an instant: as written."""

    written: date | datetime

    def at(self, zone: ZoneInfo) -> Local:
        """The moment at a place; a day without a time begins at its first instant there."""
        if not isinstance(self.written, datetime):
            return Local(self.written, None, datetime.combine(self.written, time(), zone))
        local = self.written.replace(tzinfo=self.written.tzinfo or zone).astimezone(zone)
        return Local(local.date(), local.hour * 60 + local.minute, local)

    def exists_at(self, zone: ZoneInfo) -> bool:
        """False for a clock reading that a spring change of clocks skips."""
        if not isinstance(self.written, datetime) or self.written.tzinfo:
            return True
        local = self.written.replace(tzinfo=zone)
        there_and_back = (local - (local.utcoffset() or timedelta())).replace(tzinfo=None)
        again = there_and_back.replace(tzinfo=ZoneInfo("UTC")).astimezone(zone)
        return again.replace(tzinfo=None) == self.written


def read_day(text: str) -> date | None:
    """An ISO day between the years we believe, or None."""
    if not _DAY.fullmatch(text):
        return None
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return None
    return day if EARLIEST_YEAR <= day.year <= LATEST_YEAR else None


def read_moment(text: str) -> Moment | None:
    """An ISO day, clock reading or instant, or None."""
    day = read_day(text)
    if day:
        return Moment(day)
    # fromisoformat would also take 20260302 and week dates, whose midnight nobody meant, and a NUL.
    if not _MOMENT.fullmatch(text):
        return None
    try:
        at = datetime.fromisoformat(text)
    except ValueError:
        return None
    return Moment(at) if EARLIEST_YEAR <= at.year <= LATEST_YEAR else None
