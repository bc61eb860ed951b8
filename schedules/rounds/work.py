"""What a visit is to do at a fan: which rules ask for it, how long it takes, what it needs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from fleet.quantities import QUANTITIES
from schedules.engine import (
    after_event,
    failure_odds,
    follow_up,
    grease,
    hours,
    inspection,
    restart,
    vibration,
    walk_through,
)
from schedules.engine.codes import STOP, SUBJECTS
from schedules.engine.record import RuleDate
from schedules.engine.settable import Group, number

CODE_INSPECTION, ENERGISED_WORK, LIFT = "code_inspection", "energised_work", "lift"
"""As ``Person.qualified_for`` calls them."""
STOPPED_FOR = frozenset({inspection.number, hours.number, grease.number})
"""Rules whose work has the fan standing still; all else is looked at as it runs or stands."""
LIVE = frozenset(
    {"volts", "volts_unbalance", "lost_phase", "amps", "amps_unbalance", "overload"}
    | {quantity.name for quantity in QUANTITIES.values() if quantity.live}
)
"""Subjects that are looked at again by a reading on live parts."""


@dataclass(frozen=True)
class WorkParams(Group):
    """Minutes at one fan, getting up there left out; all our choice until a company measures."""

    walk_through: float = number(20.0, "min", (1, 480))
    code_inspection: float = number(30.0, "min", (1, 480))
    regreasing: float = number(25.0, "min", (1, 480))
    grease_depth: float = number(15.0, "min", (1, 480))
    vibration: float = number(15.0, "min", (1, 480))
    follow_up: float = number(30.0, "min", (1, 480))
    after_event: float = number(15.0, "min", (1, 480))
    restart: float = number(45.0, "min", (1, 480))
    each_further: float = number(5.0, "min", (0, 480))
    booked_without_hours: float = number(45.0, "min", (1, 480))


DEFAULT_WORK = WorkParams()


@dataclass(frozen=True, slots=True)
class Work:
    """What one coming does at one fan; ``told`` are the dates that ask for it, earliest first.

    ``skill`` is needed for all of it; what needs none, or another, is work of its own.
    ``needs_yes`` where it lies beyond what the owner has bought.
    """

    fan: int
    site: int
    skill: str
    told: tuple[RuleDate, ...]
    not_before_day: int = 0
    needs_yes: bool = False

    @property
    def wanted(self) -> Wanted:
        """The fan and the skill, by which plans know this work."""
        return self.fan, self.skill

    @property
    def rules(self) -> tuple[int, ...]:
        return tuple(told.rule for told in self.told)

    @property
    def due_day(self) -> int:
        return self.told[0].due_day

    @property
    def overdue_after_day(self) -> int:
        return max(self.due_day, min(told.overdue_after_day for told in self.told))

    @property
    def stopped(self) -> bool:
        """Whether the fan must stand for it."""
        return bool(STOPPED_FOR.intersection(self.rules))

    @property
    def is_stop(self) -> bool:
        """Whether the fan must not run until somebody came."""
        return any(told.args.get("verdict") == STOP for told in self.told)

    def minutes(self, params: WorkParams = DEFAULT_WORK) -> int:
        """How long it takes: the longest of what is asked, and a little for each further."""
        looks = {_settled_by(rule) for rule in self.rules}
        each = [_minutes(rule, params) for rule in looks]
        return round(max(each) + params.each_further * (len(each) - 1))


Wanted = tuple[int, str]
"""A fan and the skill that its work needs, if any."""


def works_of(
    fan: int, site: int, dates: Iterable[RuleDate], next_day: int, until_day: int
) -> list[Work]:
    """What is due at a fan before ``next_day``; else what falls due first, before ``until_day``."""
    by_skill: dict[str, list[RuleDate]] = defaultdict(list)
    for told in dates:
        by_skill[skill_for(told)].append(told)
    found = []
    for skill, group in by_skill.items():
        due = [told for told in group if told.due_day < next_day]
        if due or group[0].due_day < until_day:
            found.append(Work(fan, site, skill, tuple(due or group[:1])))
    return found


def skill_for(told: RuleDate) -> str:
    """What somebody must be recorded as qualified for to settle it."""
    if told.rule == inspection.number:
        return CODE_INSPECTION
    if told.rule == follow_up.number and _subject(told) in LIVE:
        return ENERGISED_WORK
    return ""


def _subject(told: RuleDate) -> str:
    code = int(told.args.get("subject", 0))
    return SUBJECTS[code] if code < len(SUBJECTS) else ""


def _settled_by(rule: int) -> int:
    """One walk-through is what both its interval and the failure odds ask for."""
    return walk_through.number if rule == failure_odds.number else rule


def _minutes(rule: int, params: WorkParams) -> float:
    by_rule = {
        inspection.number: params.code_inspection,
        hours.number: params.regreasing,
        grease.number: params.grease_depth,
        vibration.number: params.vibration,
        follow_up.number: params.follow_up,
        after_event.number: params.after_event,
        restart.number: params.restart,
        walk_through.number: params.walk_through,
    }
    return by_rule.get(rule, params.walk_through)
