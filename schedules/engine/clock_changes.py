"""Where a zone's clocks skip or repeat wall minutes, and what a local day is made of."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from schedules.engine.errors import CalendarError

DAY_MINUTES = 1440
FIRST_DAY = date(2000, 1, 1).toordinal()
LAST_DAY = date(2100, 1, 1).toordinal()
"""Days outside are beyond what the engine counts running hours for."""

Stretches = tuple[tuple[int, int], ...]


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
def stretches_by_day(zone: str) -> dict[tuple[Stretches, int], tuple[int, ...]]:
    """Days of change under what they are made of and their weekday: a handful of kinds a zone."""
    kinds: dict[tuple[Stretches, int], tuple[int, ...]] = {}
    for day, changes in changes_by_day(zone).items():
        kind = (wall_stretches(changes), (day - 1) % 7)
        kinds[kind] = (*kinds.get(kind, ()), day)
    return kinds


def wall_stretches(changes: tuple[ClockChange, ...]) -> Stretches:
    """The wall minutes [begin, end) a local day really runs through, in the order it does."""
    stretches, begin = [], 0
    for change in changes:
        stretches.append((begin, change.high if change.repeated else change.low))
        begin = change.low if change.repeated else change.high
    return (*stretches, (begin, DAY_MINUTES))


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
