"""Where a zone's clocks skip or repeat wall minutes, and what a local day is made of."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from schedules.engine.errors import CalendarError

DAY_MINUTES = 1440
FIRST_DAY = date(1980, 1, 1).toordinal()
LAST_DAY = date(2100, 1, 1).toordinal()
"""Running hours are counted from FIRST_DAY until LAST_DAY begins."""


@dataclass(frozen=True)
class ClockChange:
    """Wall minutes [low, high) of a local day that do not exist, or come twice if ``repeated``."""

    day: int
    low: int
    high: int
    repeated: bool


@lru_cache(maxsize=512)
def clock_changes(zone: str) -> tuple[ClockChange, ...]:
    """All changes of a zone from FIRST_DAY to LAST_DAY, in time order.

    Raises CalendarError for a zone the time zone database does not hold.
    """
    info = _zone(zone)
    changes: list[ClockChange] = []
    # No zone changes its clocks twice within a week; a look a day costs seven times as much.
    for day in range(FIRST_DAY, LAST_DAY, 7):
        begin = datetime.combine(date.fromordinal(day), datetime.min.time(), UTC)
        if _offset(info, begin) != _offset(info, begin + timedelta(days=7)):
            changes.extend(_within(info, begin))
    return tuple(changes)


@lru_cache(maxsize=512)
def changes_by_day(zone: str) -> dict[int, tuple[ClockChange, ...]]:
    """The zone's changes under the local day they touch; most days of change have one, some two."""
    by_day: dict[int, tuple[ClockChange, ...]] = {}
    for change in clock_changes(zone):
        by_day[change.day] = (*by_day.get(change.day, ()), change)
    return by_day


@lru_cache(maxsize=512)
def days_by_kind(zone: str) -> dict[tuple[int, tuple[ClockChange, ...]], tuple[int, ...]]:
    """Days of change under their weekday and what changes, told as of day 0: few kinds a zone."""
    kinds: dict[tuple[int, tuple[ClockChange, ...]], tuple[int, ...]] = {}
    for day, changes in changes_by_day(zone).items():
        kind = ((day - 1) % 7, tuple(replace(change, day=0) for change in changes))
        kinds[kind] = (*kinds.get(kind, ()), day)
    return kinds


def elapsed_minutes(changes: tuple[ClockChange, ...], wall: float, fold: int = 0) -> float:
    """True minutes from a day's midnight until its wall clock reads ``wall`` (0 to 1,440).

    A reading that comes twice is meant the first time, with ``fold`` 1 the second; one that is
    skipped is taken as if the clock had not changed yet (PEP 495).
    """
    elapsed = wall
    for change in changes:
        size = change.high - change.low
        if wall >= change.high:
            elapsed += size if change.repeated else -size
        elif change.repeated and fold and wall >= change.low:
            elapsed += size
    return elapsed


def _zone(zone: str) -> ZoneInfo:
    try:
        return ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError) as error:
        raise CalendarError(
            f"{zone!r} is no time zone; use a name such as America/New_York"
        ) from error


def _offset(info: ZoneInfo, instant: datetime) -> int:
    offset = instant.astimezone(info).utcoffset()
    return int(offset.total_seconds() // 60) if offset is not None else 0


def _within(info: ZoneInfo, begin: datetime) -> Iterator[ClockChange]:
    """The change in the week from ``begin``, found by halving, cut at local midnights."""
    before, low, high = _offset(info, begin), 0, 7 * DAY_MINUTES
    while high - low > 1:
        middle = (low + high) // 2
        same = _offset(info, begin + timedelta(minutes=middle)) == before
        low, high = (middle, high) if same else (low, middle)
    after = _offset(info, begin + timedelta(minutes=high))
    utc_minute = begin.toordinal() * DAY_MINUTES + high
    first, last = sorted((utc_minute + before, utc_minute + after))
    while first < last:
        day = first // DAY_MINUTES
        end = min(last, (day + 1) * DAY_MINUTES)
        origin = day * DAY_MINUTES
        yield ClockChange(day, first - origin, end - origin, repeated=after < before)
        first = end
