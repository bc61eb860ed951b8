"""Which qualifications a stop needs, by its work and by the lift that it is done from."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from fleet.models import Blocker
from schedules.models import PlannedRound, PlannedStop
from schedules.rounds.work import LIFT

WEEK = timedelta(days=7)


def is_lift_of_week(blocker: Blocker, monday: date) -> bool:
    """Whether a lift comes in that week: then somebody has to go who may work from it."""
    cleared = blocker.cleared_on
    if blocker.kind != Blocker.Kind.LIFT or cleared is None:
        return False
    return monday <= cleared < monday + WEEK


def skills_needed(stop: PlannedStop, blockers: Iterable[Blocker], monday: date) -> list[str]:
    """What whoever goes must be recorded as qualified for, of the week from ``monday``."""
    needed = {work.skill for work in stop.fans.all() if work.skill}
    if any(each.site_id == stop.site_id and is_lift_of_week(each, monday) for each in blockers):
        needed.add(LIFT)
    return sorted(needed)


def skills_lacking(row: PlannedRound, needed: Iterable[str]) -> list[str]:
    """Which of these whoever makes the round is not recorded as qualified for."""
    return sorted(set(needed).difference(row.technician.qualified_for))
