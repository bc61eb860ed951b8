"""A draft written whole: rounds as timed, what is left out, the sums; and how it was before."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from schedules.models import PlanVersion
from schedules.rounds.errors import WeekPlanError
from schedules.rounds.gathering import Gathered
from schedules.rounds.left import Remains
from schedules.rounds.storing import write_left_out, write_rounds
from schedules.rounds.timed import TimedRound
from schedules.rounds.ways.places import BASE, SITE, Key
from schedules.rounds.work import Work
from schedules.wording.days import day_text

MOST_MINUTES = 32_767
"""Of a round: what its columns hold, 22 days."""


def write_draft(
    draft: PlanVersion,
    gathered: Gathered,
    rounds: Sequence[TimedRound],
    remains: Remains,
) -> None:
    """Put all of it in the place of what the draft held of the days still ahead.

    WeekPlanError for a round that lasts for weeks, which no column holds.
    """
    for each in rounds:
        _refuse_endless(gathered, each)
    write_rounds(draft, rounds, gathered.due.works, gathered.clock.days)
    write_left_out(draft, remains.left)
    works = [left.work for left in remains.left]
    draft.figures, draft.overload = figures_of(gathered, rounds, works), dict(remains.overload)
    draft.save()


def _refuse_endless(gathered: Gathered, each: TimedRound) -> None:
    """A site whose coordinates lack a sign is half the world away."""
    if max(each.told.back, each.told.overtime_minutes, each.told.free_minutes) <= MOST_MINUTES:
        return
    farthest = max(each.stops, key=lambda stop: stop.told[0].travel_minutes)
    site, hours = gathered.sites[farthest.laid.site], farthest.told[0].travel_minutes // 60
    raise WeekPlanError(
        f"a round of {day_text(each.laid.day)} would last for weeks: {site.name} is {hours} hours "
        "away from the place before it; check the coordinates of both in the admin, Sites, or take "
        "it out"
    )


def figures_of(
    gathered: Gathered, rounds: Sequence[TimedRound], undone: Iterable[Work]
) -> dict[str, float]:
    """The sums of a plan: money, minutes, metres."""
    told = [each.told for each in rounds]
    prize_left = sum(gathered.due.prizes[work.wanted] for work in undone)
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
        **_estimated(gathered, rounds),
    }


def _estimated(gathered: Gathered, rounds: Sequence[TimedRound]) -> dict[str, float]:
    """How many of the ways driven nobody told; nothing where all are estimated anyway."""
    if not len(gathered.ways.ways):
        return {}
    legs: list[tuple[Key, Key]] = []
    for each in rounds:
        base = (BASE, each.laid.technician)
        legs += pairwise([base, *((SITE, stop.laid.site) for stop in each.stops), base])
    return {"ways": len(legs), "ways_estimated": gathered.ways.count_estimated(legs)}
