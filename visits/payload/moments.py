"""Days and moments as people write them; a place's clock is asked for only when it is known."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

EARLIEST_YEAR, LATEST_YEAR = 1950, 2200
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_MOMENT = re.compile(r"\d{4}-\d{2}-\d{2}[T ]\d{2}:\d{2}[\d:.,Z+-]*", re.ASCII)
_AS_DAY = gettext_lazy("write it as 2026-03-02")
_AS_MOMENT = gettext_lazy("write 2026-03-02T09:10-06:00, 2026-03-02T09:10 or 2026-03-02")


class UnreadableError(ValueError):
    """A text that is not what was wanted: ``problem`` has a place for its ``%(name)s``."""

    def __init__(self, problem: str, remedy: str | Promise) -> None:
        super().__init__(f"{problem}; {remedy}")
        self.problem, self.remedy = problem, str(remedy)


@dataclass(frozen=True, slots=True)
class Local:
    """A moment by a site's clock: the day, the minute of that day if known, and the instant.

    ``at`` is in UTC: of two times of one zone Python compares the clocks, which go back in autumn.
    """

    on: date
    minute: int | None
    at: datetime


@dataclass(frozen=True, slots=True)
class Moment:
    """A day, a clock reading without a zone, or an instant: as written."""

    written: date | datetime

    @property
    def text(self) -> str:
        """As written, in ISO's form."""
        return self.written.isoformat()

    @property
    def day(self) -> date:
        """The day as written, wherever that was."""
        written = self.written
        return written.date() if isinstance(written, datetime) else written

    def at(self, zone: ZoneInfo, since: datetime | None = None) -> Local:
        """The moment at a place; a day without a time begins at its first instant there.

        A clock reading that comes twice in autumn is the first, unless that lies before ``since``.
        """
        if not isinstance(self.written, datetime):
            day = datetime.combine(self.written, time(), zone)
            return Local(self.written, None, day.astimezone(UTC))
        at = self.written.replace(tzinfo=self.written.tzinfo or zone).astimezone(UTC)
        if since and at < since and not self.written.tzinfo:
            at = self.written.replace(tzinfo=zone, fold=1).astimezone(UTC)
        local = at.astimezone(zone)
        return Local(local.date(), local.hour * 60 + local.minute, at)

    def exists_at(self, zone: ZoneInfo) -> bool:
        """False for a clock reading that a spring change of clocks skips."""
        if not isinstance(self.written, datetime) or self.written.tzinfo:
            return True
        local = self.written.replace(tzinfo=zone)
        there_and_back = (local - (local.utcoffset() or timedelta())).replace(tzinfo=None)
        again = there_and_back.replace(tzinfo=ZoneInfo("UTC")).astimezone(zone)
        return again.replace(tzinfo=None) == self.written


def read_day(text: str) -> date:
    """An ISO day of the calendar between the years we believe; UnreadableError else."""
    if not _DAY.fullmatch(text):
        raise UnreadableError(_("%(name)s is not a day"), _AS_DAY)
    return _believed(text)


def read_moment(text: str) -> Moment:
    """An ISO day, clock reading or instant; UnreadableError else."""
    if _DAY.fullmatch(text):
        return Moment(_believed(text))
    # fromisoformat would also take 20260302 and week dates, whose midnight nobody meant, and a NUL.
    if not _MOMENT.fullmatch(text):
        raise UnreadableError(_("%(name)s is not a day or time"), _AS_MOMENT)
    _believed(text[:10])
    try:
        return Moment(datetime.fromisoformat(text))
    except ValueError:
        raise UnreadableError(_("%(name)s names no time of the day"), _AS_MOMENT) from None


def _believed(text: str) -> date:
    year = int(text[:4])
    if not EARLIEST_YEAR <= year <= LATEST_YEAR:
        years = {"first": EARLIEST_YEAR, "last": LATEST_YEAR}
        remedy = _("check the year: %(first)s to %(last)s are taken") % years
        problem = _("%(name)s lies in the year %(year)s").replace("%(year)s", str(year))
        raise UnreadableError(problem, remedy)
    try:
        return date.fromisoformat(text)
    except ValueError:
        remedy = _("check month and day, and write it as 2026-03-02")
        raise UnreadableError(_("%(name)s is a day that no calendar has"), remedy) from None
