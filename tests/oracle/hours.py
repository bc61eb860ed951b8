"""Rule 3's hours: how long the fan ran on a day, by the operating calendar and the hour meter."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from itertools import pairwise
from zoneinfo import ZoneInfo

from schedules.engine.record import Calendar, CalendarPeriod, MeterReading

HORIZON_DAYS = 36_525
HOURS_SLACK = 1e-6
WHOLE_DAY = ((0, 1440),)
HoursOn = Callable[[int], float]


Spans = tuple[tuple[int, int], ...]


def instant(zone: str, day: int, minute: int) -> datetime:
    """When a wall clock shows a minute of a local day; the first time if it does so twice."""
    midnight = datetime.combine(date.fromordinal(day), time())
    return (midnight + timedelta(minutes=minute)).replace(tzinfo=ZoneInfo(zone)).astimezone(UTC)


@lru_cache(maxsize=500_000)
def hours_within(zone: str, day: int, evening_before: Spans, spans: Spans) -> float:
    """True hours on a local day of spans that began on it or the day before; overlaps run once."""
    first, last = instant(zone, day, 0), instant(zone, day + 1, 0)
    began = [(day - 1, span) for span in evening_before] + [(day, span) for span in spans]
    pieces = sorted(
        (max(instant(zone, d, start), first), min(instant(zone, d, end), last))
        for d, (start, end) in began
    )
    run, until = timedelta(), first
    for start, end in pieces:
        run += max(end - max(start, until), timedelta())
        until = max(until, end)
    return run.total_seconds() / 3600


def period_on(calendar: Calendar, day: int) -> CalendarPeriod:
    """The period valid on a day; before the first ones, theirs."""
    since = max(day, min(period.valid_from_day for period in calendar.periods))
    begun = [period for period in calendar.periods if period.valid_from_day <= since]
    return sorted(begun, key=lambda period: period.valid_from_day)[-1]


def spans_on(calendar: Calendar, day: int) -> Spans:
    """The spans that begin on a day; none on a closed day."""
    if day in calendar.closed_days:
        return ()
    period = period_on(calendar, day)
    return WHOLE_DAY if period.always else period.spans[date.fromordinal(day).weekday()]


def calendar_hours_on(calendar: Calendar, day: int) -> float:
    return hours_within(calendar.zone, day, spans_on(calendar, day - 1), spans_on(calendar, day))


def total(hours_on: HoursOn, first_day: int, last_day: int) -> float:
    return sum(hours_on(day) for day in range(first_day, last_day + 1))


def day_reached(hours_on: HoursOn, last_done_day: int, hours: float) -> int | None:
    """The day on which so many hours have run since the end of ``last_done_day``."""
    run = 0.0
    for day in range(last_done_day + 1, last_done_day + 1 + HORIZON_DAYS):
        run += hours_on(day)
        if run >= hours - HOURS_SLACK:
            return day
    return None


def _one_a_day(meter: tuple[MeterReading, ...]) -> list[MeterReading]:
    """Readings in order; of one meter's readings on one day the last told."""
    last = {(reading.meter, reading.day): index for index, reading in enumerate(meter)}
    kept = [reading for i, reading in enumerate(meter) if last[reading.meter, reading.day] == i]
    return sorted(kept, key=lambda reading: reading.day)


def _metered(before: MeterReading, after: MeterReading) -> float:
    hours = after.hours - before.hours
    return hours if hours >= 0 else hours + 10.0**after.digits


def _last_run(readings: list[MeterReading]) -> list[MeterReading]:
    """The unbroken run of the last meter's readings."""
    run: list[MeterReading] = []
    for reading in reversed(readings):
        if reading.meter != readings[-1].meter:
            break
        run.insert(0, reading)
    return run


def ratio(run: list[MeterReading], by_calendar: HoursOn) -> float | None:
    """Metered hours per calendar hour; 1 if one cannot say, None if not to be believed."""
    last = run[-1]
    old_enough = [reading for reading in run if reading.day <= last.day - 90]
    first = old_enough[-1] if old_enough else run[0]
    days = last.day - first.day
    if days == 0:
        return 1.0
    hours = total(by_calendar, first.day + 1, last.day)
    if hours == 0:
        return None
    start = run.index(first)
    metered = sum(_metered(before, after) for before, after in pairwise(run[start:]))
    most = 24 / (hours / days)
    return metered / hours if 0.2 <= metered / hours <= most else None


def running_hours_on(calendar: Calendar, meter: tuple[MeterReading, ...]) -> HoursOn:
    """Hours of a day: metered where a meter says so, then calendar x ratio, else the calendar."""

    def by_calendar(day: int) -> float:
        return calendar_hours_on(calendar, day)

    readings = _one_a_day(meter)
    if not readings:
        return by_calendar
    factor = ratio(_last_run(readings), by_calendar)
    if factor is None:
        return by_calendar
    spread = {}
    for before, after in pairwise(readings):
        if before.meter == after.meter:
            hours = total(by_calendar, before.day + 1, after.day)
            for day in range(before.day + 1, after.day + 1):
                share = by_calendar(day) / hours if hours else 1 / (after.day - before.day)
                spread[day] = _metered(before, after) * share

    def by_meter(day: int) -> float:
        if day in spread:
            return spread[day]
        return by_calendar(day) * (factor if day > readings[-1].day else 1.0)

    return by_meter
