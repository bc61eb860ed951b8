"""A fan made safe: its restart check, and what the span does to the other dates."""

from __future__ import annotations

from dataclasses import replace

from schedules.engine.record import FanRecord, OutOfService
from tests.oracle.moments import Live

RESTART = 9
INSPECTION = 2


def spans_in_order(record: FanRecord) -> list[OutOfService]:
    return sorted(record.out_of_service, key=lambda span: span.day)


def open_span(record: FanRecord) -> OutOfService | None:
    spans = spans_in_order(record)
    return spans[-1] if spans and spans[-1].restarted_day is None else None


def restart_date(span: OutOfService) -> Live:
    due = span.day + 7 if span.restart_day is None else span.restart_day
    return Live(RESTART, due, due + 3, span.day, why="restart")


def moved_by(live: Live, span: OutOfService) -> Live:
    """A date from before the span: past in it, it falls on the restart; yet to come, it moves."""
    restarted = span.restarted_day
    if restarted is None or live.fact_day > span.day or live.due < span.day:
        return live
    due = restarted if live.due <= restarted else live.due + restarted - span.day
    return replace(live, due=due, overdue=live.overdue + due - live.due)


def through_spans(record: FanRecord, dates: list[Live]) -> list[Live]:
    """Every date as the spans out of service leave it; code inspections never move.

    While a fan is out of service only what was due before that day stays beside its restart.
    """
    moved = []
    for live in dates:
        for closed in spans_in_order(record):
            if live.rule != INSPECTION:
                live = moved_by(live, closed)
        moved.append(live)
    span = open_span(record)
    if span is None:
        return moved
    owed = [live for live in moved if live.rule == INSPECTION or live.due < span.day]
    return [*owed, restart_date(span)]
