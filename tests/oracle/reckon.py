"""The oracle itself: every rule for one fan, put together."""

from __future__ import annotations

from dataclasses import dataclass

from schedules.engine.record import FanRecord, Reckoned, RuleDate
from tests.oracle.after_event import after_event
from tests.oracle.failure_odds import failure_odds
from tests.oracle.follow_up import follow_up
from tests.oracle.grease import grease
from tests.oracle.inspection import code_inspection
from tests.oracle.onboarding import onboarded
from tests.oracle.out_of_service import through_spans
from tests.oracle.regrease import running_hours
from tests.oracle.vibration import vibration
from tests.oracle.walk_through import walk_through


def oracle_reckon(record: FanRecord) -> Reckoned:
    """All dates of one fan, earliest first; a rule may stand several times in them."""
    walk = walk_through(record)
    inspection, no_inspection = code_inspection(record)
    hours, no_hours = running_hours(record)
    dates = [walk.live, inspection, *hours, *grease(record)]
    dates += [*vibration(record, walk.interval_days), *follow_up(record), *after_event(record)]
    dates += failure_odds(record, walk)
    moved = onboarded(record, through_spans(record, dates))
    ordered = sorted(moved, key=lambda live: (live.due, live.rule, live.overdue))
    return Reckoned(
        tuple(RuleDate(live.rule, live.due, live.overdue, live.why) for live in ordered),
        tuple(sorted([*no_inspection, *no_hours])),
        walk.not_before if any(live.rule == 1 for live in moved) else None,
    )


@dataclass(frozen=True)
class Answer:
    """What two reckonings must agree on: earliest due and overdue of each rule, and the rest."""

    due: dict[int, int]
    overdue: dict[int, int]
    cannot_tell: frozenset[str]
    not_before_day: int | None


def answer(reckoned: Reckoned) -> Answer:
    rules = {date.rule for date in reckoned.dates}
    return Answer(
        {r: min(d.due_day for d in reckoned.dates if d.rule == r) for r in sorted(rules)},
        {r: min(d.overdue_after_day for d in reckoned.dates if d.rule == r) for r in sorted(rules)},
        frozenset(reckoned.cannot_tell),
        reckoned.not_before_day,
    )
