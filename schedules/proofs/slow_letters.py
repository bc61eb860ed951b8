"""Which letters must come of what happened, and from when on: counted by hand's rules.

The cadences are those of DEVELOPERS.md, "Letters".  Nothing of the product is asked: days and hours
are those of ``slow_weeks``, and a letter's key is kind, addressee and period, as in its Message-ID.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from itertools import islice
from uuid import UUID

from schedules.proofs.slow_weeks import (
    FIRST_HOUR,
    is_at_work,
    is_worked,
    local_time,
    week_of,
    when,
    worked_days,
    worked_from,
)

Dues = Mapping[str, datetime]
"""Letters by key, and the instant from which on each must come."""
DAY = timedelta(days=1)
FIRST_WAKING, LAST_WAKING = 7, 21
FIRST_OFFICE_HOUR, EVENING = 6, 17
ADVICE_DAYS, PUT_OFF_DAYS = (3, 10, 21), (0, 10, 21)
CHASED = (2, 4, 6, 8, 10, 15, 20, 25)
"""Working days after a fan is made safe on which its owner is written to."""


def awake_from(at: datetime, zone: str) -> datetime:
    """The first instant from ``at`` on at which people there are awake."""
    clock = local_time(at, zone)
    if FIRST_WAKING <= clock.hour < LAST_WAKING:
        return at
    late = clock.hour >= LAST_WAKING
    return when(clock.date() + DAY * late, FIRST_WAKING, zone)


def at_work_from(at: datetime, zone: str) -> datetime:
    """The first instant from ``at`` on at which people there are at work."""
    clock = local_time(at, zone)
    if is_at_work(clock):
        return at
    late = clock.hour >= FIRST_HOUR
    return when(worked_from(clock.date() + DAY * late), FIRST_HOUR, zone)


def advice_dues(owner_id: int, zone: str, since: date, *, put_off: bool = False) -> Dues:
    """Of advice that nobody answers: of a visit on that day, or put off until it."""
    stages = PUT_OFF_DAYS if put_off else ADVICE_DAYS
    days = [worked_from(since + count * DAY) for count in stages]
    return {f"advice.owner-{owner_id}.{day}": when(day, FIRST_HOUR, zone) for day in days}


def critical_dues(
    fan_id: int, on: date, at: datetime, owner: tuple[int, str], readers: Iterable[tuple[int, str]]
) -> Dues:
    """Of a stop found that day and on record at ``at``: to owner and people, each with a zone."""
    period = f"fan-{fan_id}.{on}.stop"
    here = {f"critical.person-{who}.{period}": awake_from(at, zone) for who, zone in readers}
    return {f"critical.owner-{owner[0]}.{period}": awake_from(at, owner[1]), **here}


def made_safe_dues(fan_id: int, on: date, at: datetime, owner_id: int, zone: str) -> Dues:
    """Of a fan out of service since that day, on record at ``at``, that stays so."""
    key = f"made-safe.owner-{owner_id}.fan-{fan_id}.{on}.open"
    worked = list(islice(worked_days(on), max(CHASED)))
    chased = {
        f"{key}.{number}": when(worked[count - 1], FIRST_HOUR, zone)
        for number, count in enumerate(CHASED, 1)
    }
    return {f"{key}.0": awake_from(at, zone), **chased}


def no_access_dues(owner_id: int, site_id: int, since: date, at: datetime, zone: str) -> Dues:
    """Of a roof shut twice in a row since that day, on record at ``at``: once.

    The week's overdue letter would tell of it instead: it may not come between.
    """
    key = f"no-access.owner-{owner_id}.site-{site_id}.{since}"
    return {key: at_work_from(at, zone)}


def day_dues(person_id: int, day: date, zone: str, changes: Iterable[datetime]) -> Dues:
    """Of a technician's day: told the working evening before, and at each change after that."""
    evening = day - DAY
    while not is_worked(evening):
        evening -= DAY
    told = when(evening, EVENING, zone)
    moments = [told, *(at for at in changes if at > told)]
    return {
        f"day.person-{person_id}.{day}{f'.{number}' if number > 1 else ''}": at
        for number, at in enumerate(moments, 1)
    }


def said_dues(kind: str, readers: Iterable[str], period: UUID | str, at: datetime) -> Dues:
    """Of something that was said or asked: to each at once."""
    return {f"{kind}.{reader}.{period}": at for reader in readers}


def weekly_dues(
    first: date, days: int, office: str, lists: Iterable[int], summaries: Iterable[int]
) -> Dues:
    """The company's own letters on each week's first working morning in a stretch of days."""
    found: dict[str, datetime] = {}
    mornings: dict[str, date] = {}
    for number in range(days):
        day = first + number * DAY
        if is_worked(day):
            mornings.setdefault(week_of(day), day)
    for week, day in mornings.items():
        at, before = when(day, FIRST_OFFICE_HOUR, office), week_of(day - 7 * DAY)
        found |= {f"monday.person-{who}.{week}": at for who in lists}
        found |= {f"summary.person-{who}.{before}": at for who in summaries}
    return found
