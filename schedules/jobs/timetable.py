"""What runs by itself and when, in UTC; every process reads this one table."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from schedules.due.failure_classes import fit_failure_classes
from schedules.due.hazards import learn_hazards
from schedules.due.reckoning import reckon_fleet
from schedules.jobs.clean_up import clean_up
from schedules.notices.sending import send_notices
from schedules.notices.writing import write_notices
from schedules.patterns.finding import find_patterns
from schedules.rounds.services.asked import plan_asked
from visits.services import sweep_photo_files

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
"""A Thursday; turns are counted from here, so that any two processes name the same ones."""
SUNDAY = timedelta(days=3)

PLAN_ASKED = "plan asked weeks"

Fans = tuple[int, int]


@dataclass(frozen=True)
class Entry:
    """One line: what ``run`` does ``every`` so often, ``after`` the epoch, within ``limit``.

    ``run`` takes the instant and gives a count.  An entry ``by_ranges`` (of stale fans only, or of
    all) runs once for each range of fans, which it is given as well.
    """

    name: str
    every: timedelta
    after: timedelta
    run: Callable[[datetime, Fans | None], int]
    limit: timedelta = timedelta(minutes=5)
    by_ranges: bool = False
    only_stale: bool = False

    def turn(self, now: datetime) -> datetime:
        """The latest turn at or before ``now``; those missed before it are not made up."""
        return now - (now - EPOCH - self.after) % self.every

    def next_turn(self, now: datetime) -> datetime:
        """The first turn after ``now``."""
        return self.turn(now) + self.every


def _reckon_changed(now: datetime, fans: Fans | None) -> int:
    return reckon_fleet(now=now, only_stale=True, fans=fans).fans


def _reckon_all(now: datetime, fans: Fans | None) -> int:
    return reckon_fleet(now=now, only_stale=False, fans=fans).fans


TIMETABLE: tuple[Entry, ...] = (
    # first, so that whoever slept long reckons by what it finds
    Entry(
        "fit failure odds", timedelta(days=7), SUNDAY + timedelta(hours=3, minutes=20),
        lambda now, _: fit_failure_classes(now=now).touched, timedelta(minutes=20),
    ),
    Entry(
        "learn what waiting costs", timedelta(days=7), SUNDAY + timedelta(hours=3, minutes=40),
        lambda now, _: sum(row.is_learned for row in learn_hazards(now=now)),
        timedelta(minutes=20),
    ),
    Entry(
        "reckon changed fans", timedelta(minutes=10), timedelta(), _reckon_changed,
        by_ranges=True, only_stale=True,
    ),
    Entry(
        "reckon every fan", timedelta(days=7), SUNDAY + timedelta(hours=3, minutes=30),
        _reckon_all, by_ranges=True,
    ),
    Entry(
        "write notices", timedelta(minutes=30), timedelta(minutes=5),
        lambda now, _: write_notices(now=now).notices, timedelta(minutes=20),
    ),
    Entry(
        "send notices", timedelta(minutes=2), timedelta(),
        lambda _, __: send_notices().sent, timedelta(minutes=20),
    ),
    Entry(
        PLAN_ASKED, timedelta(minutes=2), timedelta(),
        lambda now, _: plan_asked(now=now), timedelta(minutes=5),
    ),
    Entry(
        "find patterns", timedelta(days=1), timedelta(hours=4, minutes=20),
        lambda now, _: find_patterns(now=now).open, timedelta(minutes=20),
    ),
    Entry(
        "sweep photos", timedelta(days=1), timedelta(hours=2, minutes=50),
        lambda now, _: sweep_photo_files(now=now), timedelta(minutes=20),
    ),
    Entry(
        "clean up", timedelta(days=1), timedelta(hours=3, minutes=10),
        lambda now, _: clean_up(now=now).rows, timedelta(minutes=20),
    ),
)  # fmt: skip
ENTRIES = {entry.name: entry for entry in TIMETABLE}
