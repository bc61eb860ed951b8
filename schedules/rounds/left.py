"""What of the due work is in no round, and why: as the planner found, or as somebody did."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Any
from uuid import UUID

from schedules.engine import rounds as engine
from schedules.models import PlanVersion
from schedules.rounds.gathering import Gathered
from schedules.rounds.layout import Layout
from schedules.rounds.storing import Left
from schedules.rounds.work import Wanted, Work

NO_PLACE, TAKEN_OUT, NOT_PLANNED = "no_place", "taken_out", "not_planned"
Why = tuple[str, Mapping[str, Any]]


def found_by(gathered: Gathered, plan: engine.Plan) -> Mapping[Wanted, Why]:
    """The planner's reasons by work."""
    found: dict[Wanted, Why] = {}
    for each in plan.left_out:
        args = {
            "names": list(each.names), "cost": each.cost,
            "needed_minutes": each.needed_minutes, "free_minutes": each.free_minutes,
        }  # fmt: skip
        known = {name: value for name, value in args.items() if value not in (None, [])}
        for key in each.fans:
            name = gathered.names[key]
            if not isinstance(name, UUID):
                found[name] = str(each.reason), known
    return found


def known_to(version: PlanVersion) -> Mapping[Wanted, Why]:
    """The reasons that a version was stored with."""
    rows = version.left_out.values_list("fan", "skill", "reason", "args")
    return {(fan, skill): (reason, args) for fan, skill, reason, args in rows}


def left_of(
    gathered: Gathered,
    layout: Layout,
    reasons: Mapping[Wanted, Why],
    taken_out: Collection[Wanted] = (),
) -> Iterator[Left]:
    """Due work that is in no round of the layout, the most urgent first."""
    next_day = gathered.clock.next_monday.toordinal()
    wanted = layout.wanted
    unplaced = {site.pk for site in gathered.unplaced}
    due = (work for work in gathered.due.works.values() if work.due_day < next_day)
    for work in sorted(due, key=lambda work: (work.overdue_after_day, work.site, work.wanted)):
        if work.wanted in wanted:
            continue
        reason, args = reasons.get(work.wanted, (NOT_PLANNED, {}))
        if work.site in unplaced:
            reason, args = NO_PLACE, {}
        elif work.wanted in taken_out:
            reason, args = TAKEN_OUT, {}
        yield Left(work, reason, is_required(work, next_day), args)


def is_required(work: Work, next_day: int) -> bool:
    """Whether it would be overdue before the next week is planned."""
    return work.overdue_after_day < next_day
