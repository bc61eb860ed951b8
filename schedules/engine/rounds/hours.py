"""Opening hours by weekday as spans of minutes, and what of them lies on one day."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import date

from schedules.engine.errors import ProblemError

DAY_MINUTES = 1440
Spans = tuple[tuple[int, int], ...]
Week = tuple[Spans, ...]
"""Spans of minutes for each weekday, Monday first; one past 1440 goes on into the next day."""

ALWAYS: Week = (((0, DAY_MINUTES),),) * 7


def hours_of(
    week: Week, day: int, closed_days: Collection[int] = (), until: int = DAY_MINUTES
) -> Spans:
    """Spans that open on a day before ``until``, with what the night before leaves in its morning.

    ``until`` past 1440 takes in the night after.  A closed day takes away what begins on it.
    """
    spans = (
        (max(0, start + shift), min(end + shift, 2 * DAY_MINUTES))
        for offset in (-1, 0, 1)
        if day + offset not in closed_days
        for start, end in week[date.fromordinal(day + offset).weekday()]
        for shift in [offset * DAY_MINUTES]
    )
    open_ones = _joined(span for span in spans if span[0] < span[1])
    return tuple(span for span in open_ones if span[0] < until)


def common_hours(first: Spans, second: Spans) -> Spans:
    """Where both are open."""
    both = (
        (max(start, other_start), min(end, other_end))
        for start, end in first
        for other_start, other_end in second
    )
    return _joined(span for span in both if span[0] < span[1])


def check_week(name: str, week: Week | None) -> None:
    """Raise ProblemError for anything that is not seven days of spans."""
    if week is None:
        return
    if len(week) != 7:
        raise ProblemError(f"{name} has {len(week)} days; expected seven, Monday first")
    for span in (span for spans in week for span in spans):
        if not 0 <= span[0] < span[1] <= 2 * DAY_MINUTES:
            raise ProblemError(
                f"{name} has hours {span}; expected a start before the end, within 0 and 2880"
            )


def _joined(spans: Iterable[tuple[int, int]]) -> Spans:
    joined: list[tuple[int, int]] = []
    for start, end in sorted(spans):
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    return tuple(joined)
