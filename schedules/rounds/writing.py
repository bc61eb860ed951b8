"""A draft written whole: rounds as timed, what is left out, the sums; and how it was before."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

from schedules.engine import rounds as engine
from schedules.models import PlanVersion
from schedules.rounds.gathering import Gathered
from schedules.rounds.storing import Left, write_left_out, write_rounds
from schedules.rounds.timed import TimedRound


def write_draft(
    draft: PlanVersion,
    gathered: Gathered,
    rounds: Sequence[TimedRound],
    left: Sequence[Left],
    overload: Mapping[str, Any],
) -> None:
    """Put all of it in the place of what the draft held of the days still ahead."""
    write_rounds(draft, rounds, gathered.due.works, gathered.clock.days)
    write_left_out(draft, left)
    draft.figures, draft.overload = figures_of(gathered, rounds, left), dict(overload)
    draft.save()


def figures_of(
    gathered: Gathered, rounds: Sequence[TimedRound], left: Sequence[Left]
) -> dict[str, float]:
    """The sums of a plan: money, minutes, metres."""
    told = [each.told for each in rounds]
    prize_left = sum(gathered.due.prizes[each.work.wanted] for each in left)
    rounds_cost = sum(each.cost for each in told)
    return {
        "cost": round(rounds_cost + prize_left, 2),
        "rounds_cost": round(rounds_cost, 2),
        "waiting_avoided": round(sum(s.prize for each in told for s in each.stops), 2),
        "waiting_left": round(prize_left, 2),
        "travel_minutes": sum(each.travel_minutes for each in told),
        "travel_m": round(sum(each.travel_m for each in told)),
        "overtime_minutes": sum(each.overtime_minutes for each in told),
        "free_minutes": sum(each.free_minutes for each in told),
    }


def overload_of(plan: engine.Plan) -> dict[str, Any]:
    """The planner's overload as it is kept; empty where all fits."""
    return {} if plan.overload is None else asdict(plan.overload)
