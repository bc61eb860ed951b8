"""Rule 8: sooner at a position that has failed before."""

from __future__ import annotations

from fractions import Fraction

from schedules.engine.record import FanRecord, OutOfService
from tests.oracle.moments import Live
from tests.oracle.walk_through import WalkThrough, completed_walk_throughs

DAYS_A_YEAR = Fraction("365.25")


def _away(span: OutOfService, day: int) -> bool:
    return span.day <= day and (span.restarted_day is None or day < span.restarted_day)


FIVE_YEARS = 1826


def _begin(record: FanRecord, seen: list[int]) -> int:
    """The earliest day that is entered, failed on, or reached from entry by no longer silence."""
    reached = {record.entered_day}
    while near := {d for d in seen if min(reached) - FIVE_YEARS <= d < min(reached)}:
        reached |= near
    return min([*reached, *record.failed_days])


def days_watched(record: FanRecord) -> int:
    """Days, one by one, on which a failure would have been noted."""
    seen = [look.day for look in record.looks] + [note.day for note in record.noted]
    seen += record.failed_days
    if not seen:
        return 0
    days = range(_begin(record, seen), max(seen))
    return sum(not any(_away(span, day) for span in record.out_of_service) for day in days)


def failures_a_year(record: FanRecord) -> Fraction:
    """Posterior mean of the gamma-Poisson model: (shape + n) / (rate parameter + T)."""
    shape, mean = Fraction(1), Fraction("0.3")
    if record.prior is not None:
        shape, mean = Fraction(str(record.prior.shape)), Fraction(str(record.prior.mean_a_year))
    years = days_watched(record) / DAYS_A_YEAR
    return (shape + len(set(record.failed_days))) / (shape / mean + years)


def failure_odds(record: FanRecord, walk: WalkThrough) -> list[Live]:
    walks = completed_walk_throughs(record)
    if not walks or walk.interval_days is None or len(set(record.failed_days)) < 2:
        return []
    preventable_a_year = failures_a_year(record) * Fraction("0.6")
    days = int(Fraction("0.1") / preventable_a_year * DAYS_A_YEAR)
    last = walks[-1].day
    due = last + min(max(days, 14), walk.interval_days)
    return [Live(8, due, due + 14, last, why="failure_odds")]
