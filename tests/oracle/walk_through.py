"""Rule 1: when the next walk-through is due."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from fleet.quantities import LOOK_LISTS
from schedules.engine.record import FanRecord, Look
from tests.oracle.follow_up import lasting_at
from tests.oracle.moments import Live, add_months, looks_as_found

# NETA MTS Appendix B: reliability wanted, then condition.
MULTIPLIER = {
    "low": {"poor": "1", "average": "2", "good": "5/2"},
    "medium": {"poor": "1/2", "average": "1", "good": "3/2"},
    "high": {"poor": "1/4", "average": "1/2", "good": "3/4"},
}


@dataclass(frozen=True)
class WalkThrough:
    """Rule 1's answer; ``interval_days`` is before any move, None without a walk-through."""

    live: Live
    interval_days: int | None
    not_before: int | None


def list_of(record: FanRecord, look: Look) -> frozenset[str]:
    """What a walk-through must answer on the machine that was looked at."""
    belt = record.machines[look.machine].belt_drive
    return frozenset(LOOK_LISTS["walk_through_belt" if belt else "walk_through_direct"])


def completed_walk_throughs(record: FanRecord) -> list[Look]:
    return [look for look in looks_as_found(record) if list_of(record, look) <= look.answered]


def _verdicts(record: FanRecord, look: Look) -> set[str]:
    """What was seen, without lasting faults."""
    lasting = lasting_at(record, look)
    return {verdict for subject, verdict in look.verdicts.items() if subject not in lasting}


def _all_within(record: FanRecord, look: Look) -> bool:
    judged = _verdicts(record, look) - {"cannot_judge"}
    return judged <= {"within"} and not look.required_unjudged


def condition(record: FanRecord, walks: list[Look]) -> str:
    """Poor, average or good by the last walk-through and the one before."""
    if _verdicts(record, walks[-1]) & {"act", "stop"}:
        return "poor"
    if len(walks) >= 2 and all(_all_within(record, look) for look in walks[-2:]):
        return "good"
    return "average"


def interval_months(record: FanRecord, state: str) -> Fraction:
    monthly = record.machines[-1].belt_drive or record.harsh
    base, most = (1, 2) if monthly else (2, 4)
    multiplier = Fraction(MULTIPLIER[record.reliability][state])
    if multiplier > 1 and not (state == "good" and record.stretching):
        multiplier = Fraction(1)
    return min(base * multiplier, Fraction(most))


def expected_cleanings_left(record: FanRecord) -> list[int]:
    """Expected cleaning days that no actual cleaning has used up."""
    left = sorted(record.expected_cleanings)
    cleanings = [event for event in record.events if event.kind == "hood_cleaning"]
    for event in sorted(cleanings, key=lambda e: (e.end_day, e.end_minute or 0)):
        near = [day for day in left if abs(day - event.end_day) <= 21]
        if near:
            left.remove(min(near, key=lambda day: (abs(day - event.end_day), day)))
    return left


def walk_through(record: FanRecord) -> WalkThrough:
    walks = completed_walk_throughs(record)
    if not walks:
        onboarding = record.onboarding_day
        due = record.entered_day + 14 if onboarding is None else onboarding
        return WalkThrough(Live(1, due, due + 14, record.entered_day, why="first"), None, None)
    state, last = condition(record, walks), walks[-1].day
    due = add_months(last, interval_months(record, state))
    interval, overdue = due - last, due + 14
    for cleaning in expected_cleanings_left(record):
        if state == "good" and cleaning >= due and cleaning + 7 <= overdue:
            live = Live(1, cleaning + 7, overdue, last, why=state)
            return WalkThrough(live, interval, cleaning + 1)
    return WalkThrough(Live(1, due, overdue, last, why=state), interval, None)
