"""What is overdue comes first in the week, where that costs nothing or little."""

from __future__ import annotations

from dataclasses import replace

import pytest

from schedules.bench.weeks import MONDAY, invented_week
from schedules.engine import plan_rounds
from schedules.engine.rounds import CurrentRound, CurrentStop, DueFan, Problem, RoundsParams
from schedules.engine.rounds.board import lay_out
from schedules.engine.rounds.routes import Routes
from schedules.engine.rounds.sooner import sooner
from tests.engine.rounds.checker import complaints
from tests.engine.rounds.weeks import fan, late, shift, site, technician, week

TWO_DAYS = technician(1, shift(0, end=540), shift(1, end=540))
"""An hour on Monday and one on Tuesday: room for one stop of thirty minutes a day."""
TUESDAYS = fan(9, not_before_day=MONDAY + 1)
ROOMY = technician(1, shift(0), shift(1))


def in_week(
    problem: Problem, monday: list[int], tuesday: list[int], *, is_current: bool = False
) -> tuple[list[int], list[int]]:
    """Sites by day after stops at these, each with a fan of its number, could change their days."""
    board = lay_out(problem)
    option_at = {board.tasks[each.task].site.key: n for n, each in enumerate(board.options)}
    routes: Routes = tuple(tuple(option_at[key] for key in keys) for keys in (monday, tuesday))
    found = sooner(board, routes, routes if is_current else None)
    one, two = (
        sorted(board.tasks[board.options[number].task].site.key for number in route)
        for route in found
    )
    return one, two


def roofs(*fans: DueFan, **params: float) -> Problem:
    """Roofs open on both days, 4 on Monday alone."""
    told = RoundsParams(day_cost=0.0, **params)
    sites = [
        site(each.key, closed_days=frozenset({MONDAY + 1} if each.key == 4 else ()))
        for each in fans
    ]
    return week(sites, fans, ROOMY, params=told)


def test_rounds_when_the_later_has_the_overdue_then_swapped() -> None:
    problem = replace(roofs(fan(1), late(1 + 1)), technicians=(TWO_DAYS,))
    assert in_week(problem, [1], [2]) == ([2], [1])


def test_stop_when_overdue_and_monday_has_room_then_on_monday() -> None:
    assert in_week(roofs(fan(4), late(2), TUESDAYS), [4], [9, 2]) == ([2, 4], [9])


@pytest.mark.parametrize(("worth", "days"), [(14.0, ([3], [8, 9])), (16.0, ([3, 8], [9]))])
def test_stop_when_sooner_costs_more_ways_then_only_if_worth_it(
    worth: float, days: tuple[list[int], list[int]]
) -> None:
    # 8 lies on Tuesday's way; on Monday behind 3 it is ten minutes and kilometres, which cost 15
    problem = roofs(fan(3), late(8), TUESDAYS, overdue_day_cost=worth)
    assert in_week(problem, [3], [8, 9]) == days


def test_stop_when_overdue_and_monday_has_one_that_is_not_then_exchanged() -> None:
    # Monday, behind 3: two minutes and kilometres less; 3 lies on the way to 9
    assert in_week(roofs(fan(3), late(2), TUESDAYS), [3], [9, 2]) == ([2], [3, 9])


def test_stop_when_at_a_stop_then_before_what_is_only_overdue() -> None:
    problem = replace(roofs(late(1), late(2, at_stop=True)), technicians=(TWO_DAYS,))
    assert in_week(problem, [1], [2]) == ([2], [1])


def test_stop_when_the_current_plan_has_it_there_then_stays_unless_it_gains_enough() -> None:
    dear, cheap = (roofs(fan(4), late(2), TUESDAYS, moved_stop_cost=cost) for cost in (50.0, 1.0))
    assert in_week(dear, [4], [2, 9], is_current=True) == ([4], [2, 9])
    assert in_week(cheap, [4], [2, 9], is_current=True) == ([2, 4], [9])


def test_stop_when_pinned_then_on_its_day() -> None:
    pinned = CurrentRound(1, MONDAY + 1, (CurrentStop(2, (2,), pinned=True),))
    plan = plan_rounds(replace(roofs(fan(3), late(2)), current=(pinned,)))
    assert [each.day for each in plan.rounds for stop in each.stops if stop.site == 2] == [
        MONDAY + 1
    ]


@pytest.mark.once
def test_week_when_planned_then_holds_and_the_overdue_are_earlier_than_without() -> None:
    problem = replace(invented_week(fans=100, sites=45, technicians=2), iterations=60)
    plain, params = RoundsParams(overdue_day_cost=0.0), RoundsParams(overdue_day_cost=10.0)
    problem = replace(problem, params=params)
    assert complaints(problem, plan_rounds(problem)) == []
    assert mean_day(problem) < mean_day(replace(problem, params=plain))


def mean_day(problem: Problem) -> float:
    """On which day of the week the overdue are done, on average."""
    overdue = {each.key for each in problem.fans if each.overdue_after_day < MONDAY}
    days = [
        each.day - MONDAY
        for each in plan_rounds(problem).rounds
        for stop in each.stops
        for key in stop.fans
        if key in overdue
    ]
    return sum(days) / len(days)
