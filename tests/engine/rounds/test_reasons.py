"""Why somebody is not visited: each reason where it alone holds."""

from __future__ import annotations

from dataclasses import replace

import pytest

from schedules.bench.weeks import MONDAY
from schedules.engine.rounds import Blocker, CurrentRound, CurrentStop, LeftOut, Problem, Reason
from tests.engine.rounds.weeks import fan, late, planned, shift, site, technician, week

EVENING = (((1100, 1200),),) * 7
TEN_MINUTES = (((600, 610),),) * 7
NEVER = ((),) * 7
THURSDAY = MONDAY + 3
CALM = technician(2, shift(), shift(3))

CASES: dict[str, tuple[Problem, Reason]] = {
    "a crane is missing": (
        week([site(1, blockers=(Blocker("crane"),))], [late(1)]), Reason.BLOCKED),
    "parts come next week": (
        week([site(1)], [late(1, blockers=(Blocker("parts", MONDAY + 8),))]), Reason.BLOCKED),
    "to be looked at next week": (
        week([site(1)], [fan(1, not_before_day=MONDAY + 8)]), Reason.NOT_YET),
    "nobody knows drives": (week([site(1)], [late(1, skill="drives")]), Reason.NOBODY_SKILLED),
    "who knows drives works on Monday, parts come on Thursday": (
        week([site(1)], [late(1, skill="drives", blockers=(Blocker("parts", THURSDAY),))],
             technician(1, skills=["drives"]), CALM), Reason.SKILLED_AWAY),
    "never open": (week([site(1, access_hours=NEVER)], [late(1)]), Reason.NO_HOURS),
    "open for ten minutes": (week([site(1, access_hours=TEN_MINUTES)], [late(1)]), Reason.NO_HOURS),
    "open after the shift": (
        week([site(1, access_hours=EVENING)], [late(1)]), Reason.HOURS_MISS_SHIFTS),
    "49 minutes out, shift of two hours": (
        week([site(49)], [late(49)], technician(1, shift(end=600))), Reason.TOO_FAR),
    "49 minutes out and worth 10": (week([site(49)], [fan(49, prize=10.0)]), Reason.COSTS_MORE),
}  # fmt: skip


def left(problem: Problem) -> LeftOut:
    """The only one left out."""
    (only,) = planned(problem).left_out
    return only


@pytest.mark.parametrize("name", CASES)
def test_left_out_when_one_reason_holds_then_that_one(name: str) -> None:
    problem, reason = CASES[name]
    assert left(problem).reason is reason


@pytest.mark.parametrize("kind", ["lift", "crane", "permit", "second_person", "parts"])
def test_left_out_when_blocked_then_by_what(kind: str) -> None:
    assert left(week([site(1)], [late(1, blockers=(Blocker(kind),))])).names == (kind,)


def test_blocker_when_it_goes_within_the_week_then_visited_from_that_day() -> None:
    held = late(1, blockers=(Blocker("parts", THURSDAY),))
    assert [each.day for each in planned(week([site(1)], [held], CALM)).rounds] == [THURSDAY]


def test_left_out_when_too_far_then_what_it_takes_and_what_there_is() -> None:
    found = left(CASES["49 minutes out, shift of two hours"][0])
    assert (found.needed_minutes, found.free_minutes) == (49 + 30 + 49, 120)


# By hand: 98 minutes at 1 and 98 km at 0.5.
def test_left_out_when_coming_costs_more_then_how_much() -> None:
    found = left(CASES["49 minutes out and worth 10"][0])
    assert (found.cost, found.prize) == (147.0, 10.0)


# 60 minutes, less ways of 1 and 1: one fan of 30 fits, two do not.
def test_left_out_when_others_count_more_then_full_with_what_is_free() -> None:
    problem = week([site(1), site(2)], [late(1), fan(2)], technician(1, shift(end=540)))
    found = left(problem)
    assert (found.reason, found.fans) == (Reason.FULL, (2,))
    assert (found.needed_minutes, found.free_minutes) == (30, 28)


def test_left_out_when_all_days_are_published_then_full() -> None:
    problem = week([site(1), site(2)], [late(1), late(2)])
    current = CurrentRound(1, MONDAY, (CurrentStop(1, (1,)),), published=True)
    found = left(replace(problem, current=(current,)))
    assert (found.reason, found.free_minutes) == (Reason.FULL, 0)


def test_left_out_when_only_one_fan_of_a_site_is_blocked_then_the_other_is_visited() -> None:
    problem = week([site(1)], [late(1), late(2, 1, blockers=(Blocker("parts"),))])
    plan = planned(problem)
    assert [each.fans for each in plan.left_out] == [(2,)]
    assert [stop.fans for each in plan.rounds for stop in each.stops] == [(1,)]
