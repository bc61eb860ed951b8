"""Which owners must have a letter of which week, reckoned slowly and apart from the product.

Local time is computed from the clock-change laws instead of a zone database, weeks from their
Thursday, and nothing is asked of stored dates.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

ZONES = {
    "America/New_York": (-5.0, "US"),
    "America/Los_Angeles": (-8.0, "US"),
    "America/Chicago": (-6.0, "US"),
    "Europe/Berlin": (1.0, "EU"),
    "Europe/London": (0.0, "EU"),
    "Asia/Kolkata": (5.5, ""),
}
"""Hours from UTC in winter, and whose law on summer time holds."""
DAY = timedelta(days=1)
MARCH, OCTOBER, NOVEMBER = 3, 10, 11
FIRST_HOUR, LAST_HOUR, FRIDAY = 8, 17, 5
HOLIDAYS = ((1, 1), (11, 11), (12, 25))
"""Those of the United States that have a date (5 USC 6103; from memory), where all these kitchens
are said to be; the others keep clear of the weeks that are looked at."""


@dataclass(frozen=True)
class Roof:
    """One fan: whose, where, since when overdue, and until when its first visit is still to come.

    ``kitchen`` sorts an owner's kitchens; ``waits_until`` is None once somebody has seen the fan.
    """

    owner_id: int
    kitchen: tuple[str, int]
    zone: str
    overdue_after: date | None
    waits_until: date | None

    def is_owed(self, today: date) -> bool:
        """Whether its owner is to be told on this local day."""
        if self.overdue_after is None or today <= self.overdue_after:
            return False
        return self.waits_until is None or self.waits_until <= today


def owed_at(roofs: Iterable[Roof], now: datetime) -> set[tuple[int, str]]:
    """Owners who are to be written to at this instant, with the ISO week of the letter."""
    clocks = {zone: local_time(now, zone) for zone in ZONES}
    first: dict[int, datetime] = {}
    for roof in sorted(roofs, key=lambda roof: (roof.owner_id, roof.kitchen)):
        if roof.is_owed(clocks[roof.zone].date()):
            first.setdefault(roof.owner_id, clocks[roof.zone])
    return {(owner, week_of(clock)) for owner, clock in first.items() if is_at_work(clock)}


def is_at_work(clock: datetime) -> bool:
    """On a day that is worked, from 8 until 17 o'clock."""
    return is_worked(clock) and FIRST_HOUR <= clock.hour < LAST_HOUR


def is_worked(day: date) -> bool:
    """Monday to Friday, but for public holidays."""
    return day.isoweekday() <= FRIDAY and (day.month, day.day) not in HOLIDAYS


def worked_from(day: date) -> date:
    """The first day that is worked from this one on."""
    while not is_worked(day):
        day += DAY
    return day


def worked_days(after: date) -> Iterator[date]:
    """Days that are worked after this one."""
    day = after
    while True:
        day = worked_from(day + DAY)
        yield day


def week_of(day: date) -> str:
    """The ISO week: that of the year its Thursday lies in (ISO 8601, 2.2.10; from memory)."""
    thursday = day + timedelta(days=4 - day.isoweekday())
    return f"{thursday.year}-W{(thursday.timetuple().tm_yday + 6) // 7:02d}"


def local_time(now: datetime, zone: str) -> datetime:
    """What the clocks show there, without a zone.

    United States: from the second Sunday of March to the first of November, at 2 o'clock by the
    clock (15 USC 260a; from memory).  European Union and United Kingdom: from the last Sunday of
    March to the last of October, at 1 o'clock UTC (Directive 2000/84/EC; from memory).
    """
    offset, law = ZONES[zone]
    naive = now.astimezone(UTC).replace(tzinfo=None)
    winter = naive + timedelta(hours=offset)
    year = naive.year
    if law == "US":
        begins = _at(_sunday(year, MARCH, 2), 2)
        ends = _at(_sunday(year, NOVEMBER, 1), 1)  # 2 o'clock summer time
        summer = begins <= winter < ends
    elif law == "EU":
        summer = _at(_last_sunday(year, MARCH), 1) <= naive < _at(_last_sunday(year, OCTOBER), 1)
    else:
        summer = False
    return winter + timedelta(hours=summer)


def when(day: date, hour: int, zone: str) -> datetime:
    """The instant at which clocks there show this hour, the first where they show it twice."""
    winter = _at(day, hour).replace(tzinfo=UTC) - timedelta(hours=ZONES[zone][0])
    told = (winter - timedelta(hours=1), winter)
    return next(at for at in told if local_time(at, zone) == _at(day, hour))


def _at(day: date, hour: int) -> datetime:
    return datetime(day.year, day.month, day.day, hour)  # noqa: DTZ001  # by the clock, as laws say


def _sunday(year: int, month: int, number: int) -> date:
    first = date(year, month, 1)
    return first + timedelta(days=7 - first.isoweekday() + 7 * (number - 1))


def _last_sunday(year: int, month: int) -> date:
    last = date(year, month, 31)
    return last - timedelta(days=last.isoweekday() % 7)
