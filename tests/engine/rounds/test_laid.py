"""A week as a person laid it: why each due fan is in no round, as it now is."""

from __future__ import annotations

from dataclasses import replace

import pytest

from schedules.bench.weeks import MONDAY, invented_week
from schedules.engine import plan_rounds
from schedules.engine.rounds import (
    CurrentRound,
    CurrentStop,
    LeftOut,
    Plan,
    Problem,
    Reason,
    remainder_of,
)
from tests.engine.rounds.weeks import fan, late, shift, site, technician, week

MORNING = (((480, 600),),) * 7
TWO = [site(1), site(2)]
SHORT = technician(1, shift(end=560))
"""Eighty minutes: room for one stop of thirty near by, not for two."""


def laid(problem: Problem, *stops: tuple[int, ...], published: bool = False) -> Problem:
    """The problem with these stops, by site and fans of the same number, on Monday."""
    told = tuple(CurrentStop(key, (key,)) for (key,) in stops)
    return replace(problem, current=(CurrentRound(1, MONDAY, told, published),))


def left(problem: Problem) -> dict[int, Reason]:
    """Reasons by fan."""
    return {key: each.reason for each in remainder_of(problem).left_out for key in each.fans}


def only(problem: Problem) -> LeftOut:
    (told,) = remainder_of(problem).left_out
    return told


def test_fan_when_there_is_time_now_then_with_whom_on_which_day_and_at_what_cost() -> None:
    told = only(laid(week(TWO, [late(1), late(2)]), (1,)))
    # one minute and one kilometre further out and back, at 60 an hour and 0.5 a kilometre
    assert (told.reason, told.technician, told.day, told.cost) == (Reason.ROOM, 1, MONDAY, 3.0)


def test_fan_when_there_is_time_in_a_published_round_then_told() -> None:
    assert only(laid(week(TWO, [late(1), late(2)]), (1,), published=True)).reason is Reason.ROOM


def test_fan_when_the_time_is_taken_then_full_and_overload_told() -> None:
    problem = laid(week(TWO, [late(1), late(2, minutes=60)], SHORT), (1,))
    told = remainder_of(problem)
    assert left(problem) == {2: Reason.FULL}
    assert told.overload is not None
    assert told.overload.sites == (2,)


def test_fan_when_the_time_is_given_back_then_no_longer_full() -> None:
    problem = week(TWO, [late(1), late(2, minutes=60)], SHORT)
    assert left(replace(problem, current=())) == {1: Reason.ROOM, 2: Reason.ROOM}
    assert remainder_of(problem).overload is None


def test_round_when_too_long_already_then_no_room_in_it() -> None:
    problem = week([site(1), site(2), site(3)], [late(1, minutes=90), late(2), late(3)], SHORT)
    told = only(laid(problem, (1,), (2,)))
    assert (told.reason, told.free_minutes) == (Reason.FULL, 0)


def test_stop_when_out_of_its_hours_then_takes_its_time_all_the_same() -> None:
    closed = site(1, access_hours=((),) * 7)
    fans = [late(1, minutes=60), late(2)]
    assert left(laid(week([closed, site(2)], fans, SHORT), (1,))) == {2: Reason.FULL}
    assert left(week([closed, site(2)], fans, SHORT)) == {1: Reason.NO_HOURS, 2: Reason.ROOM}


def test_stop_when_broken_and_late_then_its_own_site_is_told_as_late() -> None:
    urgent = fan(1, due_day=MONDAY - 9, overdue_after_day=MONDAY, skill="drives")
    problem = week([site(1)], [urgent], technician(1, shift(0), shift(2)))
    stops = (CurrentStop(1, (1,)),)
    told = remainder_of(replace(problem, current=(CurrentRound(1, MONDAY + 2, stops),)))
    assert told.overload is not None
    assert told.overload.late == (1,)


def test_stop_when_without_the_skill_then_not_told_as_left_out() -> None:
    assert left(laid(week([site(1)], [late(1, skill="drives")]), (1,))) == {}


@pytest.mark.parametrize(
    ("roof", "work", "reason"),
    [
        (site(2, access_hours=((),) * 7), late(2), Reason.NO_HOURS),
        (site(2), late(2, skill="drives"), Reason.NOBODY_SKILLED),
        (site(40), fan(2, prize=1.0), Reason.COSTS_MORE),
        (site(2), fan(2, not_before_day=MONDAY + 8), Reason.NOT_YET),
    ],
)
def test_fan_when_something_else_keeps_it_out_then_that(
    roof: object, work: object, reason: Reason
) -> None:
    problem = week([site(1), replace(roof, key=2)], [late(1), work])  # type: ignore[type-var,list-item]
    assert left(laid(problem, (1,))) == {2: reason}


def as_laid(plan: Plan, problem: Problem) -> Problem:
    """The same week with the plan as somebody's rounds."""
    current = tuple(
        CurrentRound(
            each.technician,
            each.day,
            tuple(CurrentStop(s.site, (*s.fans, *s.pulled_forward)) for s in each.stops),
        )
        for each in plan.rounds
    )
    return replace(problem, current=current)


@pytest.mark.once
def test_crowded_week_when_planned_then_its_reasons_hold_of_it_as_laid() -> None:
    problem = replace(invented_week(fans=150, sites=60, technicians=1), iterations=30)
    plan = plan_rounds(problem)
    told = {key: each.reason for each in plan.left_out for key in each.fans}
    assert left(as_laid(plan, problem)) == told
    assert {Reason.FULL, Reason.BLOCKED} <= set(told.values())
