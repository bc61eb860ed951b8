"""Planning over a plan in force: what is published or pinned stays, the rest starts from it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from schedules.bench.weeks import MONDAY, invented_week, searched
from schedules.engine import plan_rounds
from schedules.engine.rounds import (
    Blocker,
    Broken,
    CurrentRound,
    CurrentStop,
    Plan,
    Problem,
    RoundsParams,
    Technician,
    Why,
    price_rounds,
)
from schedules.engine.rounds.hours import Week
from tests.engine.rounds.checker import complaints
from tests.engine.rounds.weeks import fan, late, planned, shift, site, technician, visited, week

TWO_DAYS = technician(1, shift(), shift(1))
NEVER = Technician(1, 0, 0, ())

pytestmark = pytest.mark.once


def taken_over(plan: Plan, *, published: int = 0) -> tuple[CurrentRound, ...]:
    """The rounds of a plan as the current ones, the first few of them published."""
    return tuple(
        CurrentRound(
            each.technician,
            each.day,
            tuple(CurrentStop(s.site, (*s.fans, *s.pulled_forward), s.pinned) for s in each.stops),
            published=number < published,
        )
        for number, each in enumerate(plan.rounds)
    )


@pytest.fixture(scope="module")
def planned_week() -> tuple[Problem, Plan]:
    problem = searched(invented_week(fans=50, sites=30, technicians=2, seed=5), iterations=80)
    return problem, plan_rounds(problem)


def test_replan_when_nothing_changed_and_no_search_then_as_good(
    planned_week: tuple[Problem, Plan],
) -> None:
    problem, plan = planned_week
    again = plan_rounds(searched(replace(problem, current=taken_over(plan)), iterations=0))
    assert again.objective == again.objective_current == plan.objective
    assert again.rounds == plan.rounds


def test_replan_when_searched_on_then_most_stops_keep_technician_and_day(
    planned_week: tuple[Problem, Plan],
) -> None:
    problem, plan = planned_week
    changed = replace(problem, current=taken_over(plan))
    assert len(places(plan_rounds(searched(changed, iterations=50))) & places(plan)) > 0.6 * len(
        places(plan)
    )


def places(plan: Plan) -> set[tuple[int, int, int]]:
    """Who goes where on which day."""
    return {(each.technician, each.day, s.site) for each in plan.rounds for s in each.stops}


def test_replan_when_a_technician_falls_ill_then_holds_and_is_no_worse_than_what_is_left(
    planned_week: tuple[Problem, Plan],
) -> None:
    problem, plan = planned_week
    ill = replace(problem.technicians[0], shifts=problem.technicians[0].shifts[2:])
    changed = replace(
        problem, technicians=(ill, *problem.technicians[1:]), current=taken_over(plan)
    )
    again = plan_rounds(searched(changed, iterations=20))
    left = [
        each for each in changed.current if (each.technician, each.day) not in gone(plan, again)
    ]
    assert complaints(replace(changed, current=tuple(left)), again) == []


def gone(plan: Plan, again: Plan) -> set[tuple[int, int]]:
    return {(e.technician, e.day) for e in plan.rounds} - {
        (e.technician, e.day) for e in again.rounds
    }


def test_replan_when_two_rounds_are_published_then_they_stay_and_all_holds(
    planned_week: tuple[Problem, Plan],
) -> None:
    problem, plan = planned_week
    current = taken_over(plan, published=2)
    again = plan_rounds(searched(replace(problem, current=current), iterations=20))
    assert complaints(replace(problem, current=current), again) == []
    assert [each.published for each in again.rounds].count(True) == 2


def test_published_when_it_breaks_something_then_stays_and_says_so() -> None:
    evening = site(1, access_hours=(((1000, 1100),),) * 7)
    laid = CurrentRound(1, MONDAY, (CurrentStop(1, (1,)),), published=True)
    (only,) = planned(week([evening], [late(1)], current=(laid,))).rounds
    assert (only.stops[0].why, only.broken, only.stops[0].start) == (
        Why.PUBLISHED,
        (Broken.SHIFT,),
        1000,
    )


def test_pinned_when_another_day_were_cheaper_then_stays_on_its_day() -> None:
    pinned = CurrentRound(1, MONDAY + 1, (CurrentStop(2, (2,), pinned=True),))
    problem = week([site(1), site(2)], [late(1), late(2)], TWO_DAYS)
    assert len(planned(problem).rounds) == 1
    plan = planned(problem, current=(pinned,))
    stops = {each.day: [(s.site, s.why) for s in each.stops] for each in plan.rounds}
    assert (2, Why.PINNED) in stops[MONDAY + 1]


def test_pinned_when_it_is_not_due_then_visited_all_the_same() -> None:
    later = fan(2, due_day=MONDAY + 40, overdue_after_day=MONDAY + 54)
    pinned = CurrentRound(1, MONDAY, (CurrentStop(2, (2,), pinned=True),))
    assert visited(planned(week([site(2)], [later], current=(pinned,)))) == [(2,)]


def test_pinned_when_it_cannot_be_then_left_out_with_the_reason() -> None:
    held = late(2, blockers=(Blocker("lift"),))
    pinned = CurrentRound(1, MONDAY, (CurrentStop(2, (2,), pinned=True),))
    plan = planned(week([site(2)], [held], current=(pinned,)))
    assert [(each.reason, each.names) for each in plan.left_out] == [("blocked", ("lift",))]


def test_current_when_the_search_finds_nothing_better_then_kept() -> None:
    problem = week([site(1), site(9)], [late(1), late(9)], TWO_DAYS)
    current = CurrentRound(1, MONDAY + 1, (CurrentStop(9, (9,)), CurrentStop(1, (1,))))
    plan = planned(problem, current=(current,), iterations=0)
    assert ([each.day for each in plan.rounds], visited(plan)) == ([MONDAY + 1], [(9, 1)])


SHORT = technician(1, shift(end=630), shift(1, end=630))
FAR = week([site(45), site(49)], [late(45), late(49, overdue_after_day=MONDAY - 15)], SHORT)


# Each takes two hours, both together more than a shift.
def test_plan_when_days_are_alike_then_the_more_urgent_round_comes_first() -> None:
    assert visited(planned(FAR)) == [(49,), (45,)]


# The way to 2 and back to 1 on Monday is for nothing, so there is something to better.
def test_current_when_days_are_alike_and_one_is_bettered_then_each_round_keeps_its_day() -> None:
    roofs = [site(key) for key in (1, 2, 45, 49)]
    fans = [late(key, minutes=5 if key < 3 else 80) for key in (1, 2, 45)]
    most_urgent = late(49, minutes=80, overdue_after_day=MONDAY - 15)
    current = (
        CurrentRound(1, MONDAY, tuple(CurrentStop(key, (key,)) for key in (2, 1, 45))),
        CurrentRound(1, MONDAY + 1, (CurrentStop(49, (49,)),)),
    )
    days = technician(1, shift(end=665), shift(1, end=665))
    free = RoundsParams(day_cost=0.0, moved_stop_cost=0.0, overdue_day_cost=0.0)
    plan = planned(week(roofs, [*fans, most_urgent], days, params=free), current=current)
    first, second = visited(plan)
    assert (45 in first, 49 in second) == (True, True)
    assert plan.objective < (plan.objective_current or 0)


# Alone in a round 9 costs 18 * 1.5 = 27 and 1 costs 3; together they cost 27: 3 for one move.
@pytest.mark.parametrize(("cost", "days"), [(2.99, 1), (3.01, 2)])
def test_current_when_a_move_gains_less_than_it_is_worth_then_all_stay(
    cost: float, days: int
) -> None:
    apart = tuple(CurrentRound(1, MONDAY + key // 9, (CurrentStop(key, (key,)),)) for key in (1, 9))
    problem = week([site(1), site(9)], [late(1), late(9)], TWO_DAYS, current=apart)
    told = RoundsParams(day_cost=0.0, moved_stop_cost=cost, overdue_day_cost=0.0)
    assert len(planned(problem, params=told).rounds) == days


def broken(*stops: CurrentStop, day: int = MONDAY, **facts: object) -> list[tuple[str, ...]]:
    """What each stop of a laid round breaks, then the round itself."""
    roofs = [site(1, access_hours=(((600, 700),),) * 7), site(2, skill="drives"), site(3), site(4)]
    fans = [late(1), late(2), late(3, blockers=(Blocker("permit"),)), late(4, minutes=470)]
    fans.append(fan(5, 4, not_before_day=MONDAY + 9))
    problem = week(roofs, fans)
    (only,) = price_rounds(problem, [CurrentRound(1, day, stops)])
    return [*(stop.broken for stop in only.stops), only.broken]


STOPS = [
    # an hour's work cannot begin after 670
    ((CurrentStop(4, (4,)), CurrentStop(1, (1,))), [(), ("hours",), ("shift",)]),
    ((CurrentStop(2, (2,)),), [("skill",), ()]),
    ((CurrentStop(3, (3,)),), [("blocked",), ()]),
    ((CurrentStop(4, (5,)),), [("too_early",), ()]),
    ((CurrentStop(1, (1,)),), [(), ()]),
]


@pytest.mark.parametrize(("stops", "expected"), STOPS)
def test_price_when_a_person_laid_the_round_then_what_it_breaks(
    stops: tuple[CurrentStop, ...], expected: list[tuple[str, ...]]
) -> None:
    assert broken(*stops) == expected


def test_price_when_nobody_works_that_day_then_off() -> None:
    assert broken(CurrentStop(1, (1,)), day=MONDAY + 1)[-1] == ("off",)


@pytest.mark.parametrize(
    ("hours", "people", "leaves"),
    [
        (None, [technician(1, shift(start=500)), technician(2, shift())], 500),
        (None, [NEVER, technician(2, shift(start=450))], 450),
        (None, [NEVER], 420),
        # up at 200, which takes a quarter of an hour, a minute's way before it
        ((((200, 300),),) * 7, [technician(1, shift(start=500))], 199),
    ],
)
def test_price_when_somebody_is_off_then_they_set_out_as_on_other_days(
    hours: Week | None, people: list[Technician], leaves: int
) -> None:
    roof = site(1, access_hours=hours) if hours else site(1)
    problem = week([roof], [fan(1)], *people)
    laid = CurrentRound(1, MONDAY + 1, (CurrentStop(1, (1,)),))
    (told,) = price_rounds(problem, (laid,))
    assert (told.leave, told.broken) == (leaves, ("off",))


def test_price_when_the_planner_s_own_rounds_then_told_alike(
    planned_week: tuple[Problem, Plan],
) -> None:
    problem, plan = planned_week
    priced = price_rounds(problem, taken_over(plan))
    assert [(each.leave, each.back, each.cost) for each in priced] == [
        (each.leave, each.back, each.cost) for each in plan.rounds
    ]
