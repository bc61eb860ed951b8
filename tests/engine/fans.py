"""Short ways to say what happened to a fan, and to ask for one rule's dates."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from fleet.quantities import LOOK_LISTS, WALK_THROUGH_BELT, WALK_THROUGH_DIRECT
from schedules.engine.due import reckon_one
from schedules.engine.parameters import DueParams
from schedules.engine.record import FanRecord, Look, RuleDate

ENTERED = "2024-12-01"


def day(iso: str) -> int:
    """The ordinal of a date."""
    return date.fromisoformat(iso).toordinal()


def iso(number: int) -> str:
    """The date of an ordinal."""
    return date.fromordinal(number).isoformat()


def fan(**facts: object) -> FanRecord:
    """A fan entered on ENTERED, otherwise without history."""
    return FanRecord(**{"entered_day": day(ENTERED), **facts})  # type: ignore[arg-type]


def walk(on: str, belt: bool = False, **facts: object) -> Look:
    """A completed walk-through."""
    answered = frozenset(WALK_THROUGH_BELT if belt else WALK_THROUGH_DIRECT)
    return Look(day(on), answered=answered, **facts)  # type: ignore[arg-type]


def seen(on: str, verdicts: Mapping[str, str] | None = None, **facts: object) -> Look:
    """A look that is no completed walk-through."""
    return Look(day(on), verdicts=verdicts or {}, **facts)  # type: ignore[arg-type]


def listed(on: str, kind: str, **facts: object) -> Look:
    """A look that answered one of the lists."""
    return Look(day(on), answered=frozenset(LOOK_LISTS[kind]), **facts)  # type: ignore[arg-type]


def rule_date(record: FanRecord, rule: int, params: DueParams | None = None) -> RuleDate | None:
    """One rule's answer, None where it says nothing."""
    dates = reckon_one(record, params).dates
    return next((date for date in dates if date.rule == rule), None)


def days(record: FanRecord, rule: int, params: DueParams | None = None) -> tuple[str, str] | None:
    """One rule's due and overdue day, None where it says nothing."""
    found = rule_date(record, rule, params)
    return found and (iso(found.due_day), iso(found.overdue_after_day))
