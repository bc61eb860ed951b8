"""Overtime by the clock: past the shift's end, or out of the reserve, and only where it pays."""

from __future__ import annotations

from dataclasses import replace

import pytest

from schedules.bench.weeks import MONDAY
from schedules.engine.rounds import (
    Broken,
    CurrentRound,
    CurrentStop,
    Problem,
    RoundsParams,
    Shift,
    price_rounds,
)
from schedules.engine.rounds.board import lay_out
from schedules.engine.rounds.solving import model_of, solution_of
from schedules.engine.rounds.timing import route_cents
from tests.engine.rounds.checker import complaints
from tests.engine.rounds.weeks import fan, late, planned, shift, site, technician, week

EVENING = (((930, 1100),),) * 7

pytestmark = pytest.mark.once


def evening(prize: float = 100.0, **facts: int) -> Problem:
    """Half an hour from 15:30 on, ten minutes out: back at 16:10, and the shift ends at 16:00."""
    roof = site(10, access_hours=EVENING)
    return week([roof], [fan(10, prize=prize)], technician(1, shift(**facts)))


# By hand: 20 minutes at 1, 20 km at 0.5, ten minutes of overtime at 1.5.
def test_round_when_back_after_the_shift_then_that_is_overtime_and_paid() -> None:
    plan = planned(evening(overtime_minutes=30))
    (only,) = plan.rounds
    assert (only.leave, only.back) == (920, 970)
    assert (only.overtime_minutes, only.cost) == (10, 20 + 10 + 15)
    assert complaints(evening(overtime_minutes=30), plan) == []


@pytest.mark.parametrize(
    ("problem", "reason"),
    [
        (evening(), "hours_miss_shifts"),
        (evening(overtime_minutes=9), "hours_miss_shifts"),
        (evening(40.0, overtime_minutes=30), "costs_more"),
    ],
)
def test_round_when_overtime_is_not_allowed_or_not_worth_it_then_nobody_goes(
    problem: Problem, reason: str
) -> None:
    plan = planned(problem)
    assert (plan.rounds, [each.reason for each in plan.left_out]) == ((), [reason])


def test_round_when_another_day_has_time_for_it_then_without_overtime() -> None:
    long = technician(1, shift(overtime_minutes=60), shift(1, end=1000))
    plan = planned(replace(evening(), technicians=(long,)))
    assert [(each.day, each.overtime_minutes) for each in plan.rounds] == [(MONDAY + 1, 0)]


def test_checker_when_a_late_round_claims_no_overtime_then_it_complains() -> None:
    problem = evening(overtime_minutes=30)
    plan = planned(problem)
    free = replace(plan.rounds[0], overtime_minutes=0, cost=plan.rounds[0].cost - 15)
    told = complaints(problem, replace(plan, rounds=(free,), cost=plan.cost - 15))
    assert any("after the shift, without overtime" in each for each in told)


# A shift from 8 to 16 of which an hour stays free: by hand.
@pytest.mark.parametrize(
    ("leave", "back", "minutes"),
    [
        (480, 900, 0),
        (480, 901, 1),  # the last hour is the reserve
        (510, 930, 0),
        (510, 960, 30),  # half of the reserve was before the round
        (540, 960, 0),
        (700, 960, 0),
        (700, 961, 1),
        (480, 970, 70),
    ],
)
def test_overtime_when_some_of_the_reserve_is_before_the_round_then_by_hand(
    leave: int, back: int, minutes: int
) -> None:
    assert Shift(MONDAY, 480, 960, reserve_minutes=60).overtime(leave, back) == minutes


@pytest.mark.parametrize(
    ("allowed", "broken"), [(10, ()), (9, (Broken.SHIFT,))], ids=["allowed", "beyond"]
)
def test_price_when_a_person_lays_a_late_round_then_the_same_rule(
    allowed: int, broken: tuple[Broken, ...]
) -> None:
    laid = CurrentRound(1, MONDAY, (CurrentStop(10, (10,)),))
    (only,) = price_rounds(evening(overtime_minutes=allowed), [laid])
    assert (only.overtime_minutes, only.cost, only.broken) == (10, 45.0, broken)


# From 15:30 on half an hour, a minute on, half an hour, ten minutes home: 16:41.
def test_overload_when_only_the_clock_is_too_short_then_cured_by_as_much_overtime() -> None:
    roofs = [site(10, access_hours=EVENING), site(11, access_hours=EVENING)]
    people = technician(1, shift(end=975))
    plan = planned(week(roofs, [late(10), late(11)], people))
    assert plan.overload
    (cure,) = plan.overload.overtime
    assert cure.minutes == 1001 - 975


@pytest.mark.parametrize("opens", range(480, 1000, 40))
def test_solver_when_it_prices_a_round_then_to_the_cent_as_we_do(opens: int) -> None:
    roofs = [site(10, access_hours=(((opens, 1100),),) * 7), site(20)]
    people = technician(1, shift(overtime_minutes=120, reserve_minutes=90))
    fans = [fan(10, minutes=45), fan(20, minutes=310)]
    board = lay_out(week(roofs, fans, people, params=RoundsParams()))
    for route in ((0,), (1,), (0, 1), (1, 0)):
        cents = route_cents(board, 0, route)
        told = solution_of(model_of(board), (route,))
        assert told.is_feasible() == (cents is not None)
        if cents is not None:
            costs = told.distance_cost() + told.duration_cost() + told.fixed_vehicle_cost()
            assert costs == cents
