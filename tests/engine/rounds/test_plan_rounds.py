"""Plans of invented weeks before the checker, small ones against every plan there could be."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, pairwise, permutations

import numpy as np
import pytest

from schedules.bench.weeks import MONDAY, invented_week, searched
from schedules.engine import plan_rounds
from schedules.engine.rounds import (
    CurrentRound,
    CurrentStop,
    Plan,
    Problem,
    RoundsParams,
    Site,
    Travel,
    Why,
    price_rounds,
)
from schedules.engine.rounds.board import lay_out
from schedules.engine.rounds.routes import empty_routes, filled, objective_cents
from schedules.engine.rounds.solving import model_of, solved, stop_after
from tests.engine.rounds.checker import complaints
from tests.engine.rounds.weeks import fan, late, planned, shift, site, technician, visited, week

SEEDS = range(1, 9)

pytestmark = pytest.mark.once


def some_week(seed: int) -> Problem:
    """Every second week has one technician, overtime and too much to do."""
    few = seed % 2 == 0
    invented = invented_week(
        fans=45 + 45 * few,
        sites=25 + 10 * few,
        technicians=1 if few else 3,
        overtime_minutes=60 * few,
        seed=seed,
    )
    return searched(invented, iterations=60)


@pytest.fixture(scope="module")
def plans() -> dict[int, tuple[Problem, Plan]]:
    """Invented weeks with their plans."""
    problems = {seed: some_week(seed) for seed in SEEDS}
    return {seed: (problem, plan_rounds(problem)) for seed, problem in problems.items()}


@pytest.mark.parametrize("seed", SEEDS)
def test_plan_when_walked_by_the_checker_then_nothing_is_wrong(
    plans: dict[int, tuple[Problem, Plan]], seed: int
) -> None:
    assert complaints(*plans[seed]) == []


def test_plan_when_made_again_with_the_same_seed_then_the_same(
    plans: dict[int, tuple[Problem, Plan]],
) -> None:
    problem, plan = plans[1]
    assert plan_rounds(problem) == plan


def test_plans_when_taken_together_then_rounds_waits_overload_and_pulled_fans_were_tried(
    plans: dict[int, tuple[Problem, Plan]],
) -> None:
    found = [plan for _, plan in plans.values()]
    assert any(stop.pulled_forward for plan in found for each in plan.rounds for stop in each.stops)
    assert any(plan.overload for plan in found)
    assert {each.reason for plan in found for each in plan.left_out} >= {
        "blocked", "nobody_skilled", "costs_more", "full",
    }  # fmt: skip
    assert {stop.why for plan in found for each in plan.rounds for stop in each.stops} >= {
        "overdue", "last_chance", "worth_it",
    }  # fmt: skip


def wrong(plan: Plan, **changes: object) -> Plan:
    """The plan with the first stop of its first round changed."""
    first = plan.rounds[0]
    stop = replace(first.stops[0], **changes)  # type: ignore[arg-type]
    return replace(plan, rounds=(replace(first, stops=(stop, *first.stops[1:])), *plan.rounds[1:]))


@pytest.mark.parametrize("changes", [{"arrive": 0}, {"leave": 2000}, {"fans": ()}, {"site": 3}])
def test_checker_when_a_stop_is_changed_then_it_complains(
    plans: dict[int, tuple[Problem, Plan]], changes: dict[str, object]
) -> None:
    problem, plan = plans[1]
    assert complaints(problem, wrong(plan, **changes)) != []


def scattered(seed: int) -> Problem:
    """Five sites of one fan, ways that differ by direction, windows, one technician and day.

    Every second one has overtime.  All is in steps of five minutes.
    """
    rng, overtime = np.random.default_rng(seed), seed % 2 == 0
    places = rng.uniform(0, 60, (6, 2))
    apart = np.linalg.norm(places[:, None] - places[None], axis=2)
    minutes = 5 * np.ceil(apart / 5 * rng.uniform(1, 1.4, apart.shape)) * (1 - np.eye(6))
    starts = 5 * rng.integers(96, 156, 6)
    sites = [
        site(key, access_minutes=10, access_hours=(((int(opens), int(opens) + 180),),) * 7)
        for key, opens in enumerate(starts.tolist()[1:], 1)
    ]
    fans = [fan(key, prize=float(rng.integers(20, 150))) for key in range(1, 6)]
    hours = shift(end=900 - 150 * overtime, reserve_minutes=60, overtime_minutes=60 * overtime)
    return week(
        sites, fans, technician(1, hours),
        travel=Travel(minutes, minutes * 1000), iterations=150,
    )  # fmt: skip


def every_cost(problem: Problem) -> Iterator[float]:
    """Cost of each order of each choice of sites that the one shift has time for."""
    everything = sum(each.prize for each in problem.fans)
    for count in range(len(problem.sites) + 1):
        for chosen in combinations(problem.sites, count):
            done = sum(each.prize for each in problem.fans if each.site in {s.key for s in chosen})
            for order in permutations(chosen):
                money = walked(problem, order)
                if money is not None:
                    yield money + everything - done


def walked(problem: Problem, order: tuple[Site, ...]) -> float | None:
    """The least that a round in this order costs; None if no time to leave makes it fit."""
    ways, prices = problem.travel.minutes, []
    the_shift = problem.technicians[0].shifts[0]
    nodes = [0, *(each.node for each in order), 0]
    far = sum(ways[a, b] for a, b in pairwise(nodes))
    for leave in range(the_shift.start_minute, the_shift.end_minute, 5):
        clock, fits = float(leave), True
        for before, each in zip(nodes, order, strict=False):
            opens, closes = each.access_hours[0][0]
            clock = max(clock + ways[before, each.node], opens) + each.access_minutes + 30
            fits &= clock <= closes
        back = clock + ways[nodes[-2], 0]
        free_before = min(leave - the_shift.start_minute, the_shift.reserve_minutes)
        end = the_shift.end_minute - the_shift.reserve_minutes + free_before
        if fits and back <= end + the_shift.overtime_minutes:
            paid = far + sum(each.access_minutes for each in order) + 1.5 * max(0, back - end)
            prices.append(float(paid + far * 0.5))
    return min(prices, default=None)


# A minute costs 1, of overtime 1.5, a kilometre 0.5; each way is as many kilometres as minutes.
@pytest.mark.parametrize("seed", range(1, 9))
def test_plan_when_five_sites_then_the_best_of_every_plan_there_is(seed: int) -> None:
    problem = scattered(seed)
    assert plan_rounds(problem).cost == pytest.approx(min(every_cost(problem)), abs=0.05)


# By hand: sites 10 and 20 minutes out on one line: 40 minutes and 40 km of way, 40 + 20 = 60.
def test_plan_when_two_sites_on_a_line_then_times_and_cost_by_hand() -> None:
    plan = planned(week([site(10, access_minutes=5), site(20)], [late(10), late(20)]))
    (only,) = plan.rounds
    assert sorted(visited(plan)[0]) == [10, 20]
    assert (only.leave, only.back - only.leave, only.travel_minutes) == (480, 105, 40)
    assert (only.cost, plan.prize_collected) == (65.0, 200.0)
    assert [stop.leave - stop.start for stop in only.stops if stop.site == 10] == [35]


# The solver starts from full rounds: without a search its answer may be worse than a simple one.
def test_plan_when_there_is_no_time_to_search_then_as_good_as_filling_in_what_pays() -> None:
    problem = searched(invented_week(fans=80, sites=30, technicians=1, seed=2), iterations=0)
    problem = replace(problem, params=RoundsParams(overdue_day_cost=0.0))
    board = lay_out(problem)
    alone = objective_cents(board, solved(board, model_of(board), None, stop_after(0, None))) / 100
    simple = objective_cents(board, filled(board, empty_routes(board), board.due)) / 100
    assert plan_rounds(problem).objective <= simple < alone


def test_plan_when_nothing_pays_and_nobody_searches_then_nobody_goes() -> None:
    fans = [fan(key, prize=0.01) for key in range(30, 40)]
    assert planned(week([site(key) for key in range(30, 40)], fans), iterations=0).rounds == ()


def test_plan_when_nothing_is_due_then_nobody_goes() -> None:
    plan = planned(week([site(1)], [fan(1, due_day=MONDAY + 30, overdue_after_day=MONDAY + 40)]))
    assert (plan.rounds, plan.left_out, plan.cost) == ((), (), 0)


def test_plan_without_technicians_then_all_left_out() -> None:
    problem = week([site(1)], [late(1)])
    plan = planned(problem, technicians=())
    assert [each.reason for each in plan.left_out] == ["nobody_skilled"]


def test_plan_when_overdue_long_ago_then_the_stop_says_so() -> None:
    plan = planned(week([site(1), site(2), site(3)], [late(1), fan(2), fan(3, prize=500.0)]))
    whys = {stop.site: stop.why for stop in plan.rounds[0].stops}
    assert whys == {1: Why.OVERDUE, 2: Why.WORTH_IT, 3: Why.WORTH_IT}


# Overdue after Tuesday: the technician of Wednesday is the cheaper one, and too late.
def test_plan_when_overdue_within_the_week_then_done_before() -> None:
    near, far = technician(1, shift(2)), replace(technician(2, shift(1)), start_node=40)
    urgent = fan(1, due_day=MONDAY - 9, overdue_after_day=MONDAY + 1)
    assert [each.day for each in planned(week([site(1)], [urgent], near, far)).rounds] == [
        MONDAY + 1
    ]


def test_plan_when_nobody_can_come_again_in_time_then_gone_to_now_although_worth_nothing() -> None:
    seldom = fan(49, due_day=MONDAY + 8, overdue_after_day=MONDAY + 12, prize=0.0)
    assert visited(planned(week([site(49)], [seldom]))) == []
    again = replace(seldom, next_chance_day=MONDAY + 14)
    plan = planned(week([site(49)], [again]))
    assert [stop.why for each in plan.rounds for stop in each.stops] == [Why.LAST_CHANCE]


def test_plan_when_only_a_late_day_is_left_then_better_late_than_not() -> None:
    urgent = fan(1, due_day=MONDAY - 9, overdue_after_day=MONDAY + 1)
    plan = planned(week([site(1)], [urgent], technician(1, shift(3))))
    assert [each.day for each in plan.rounds] == [MONDAY + 3]


def test_plan_when_a_fan_must_stand_then_in_the_hours_for_that() -> None:
    early = (((300, 540),),) * 7
    roof = site(1, stop_hours=early, access_minutes=10)
    plan = planned(week([roof], [late(1, stopped=True), late(2, 1)]))
    assert [stop.leave <= 540 for stop in plan.rounds[0].stops if 1 in stop.fans] == [True]


def test_plan_when_a_shift_goes_into_the_night_then_hours_past_midnight_count() -> None:
    night = (((1380, 1700),),) * 7
    plan = planned(
        week([site(1, access_hours=night)], [late(1)], technician(1, shift(0, 1320, 1800)))
    )
    assert [stop.start for stop in plan.rounds[0].stops] == [1380]


def test_plan_when_one_person_has_both_skills_then_access_is_paid_once() -> None:
    roof = site(1, access_minutes=20)
    both = technician(1, skills=["drives"])
    (stop,) = planned(week([roof], [late(1), late(2, 1, skill="drives")], both)).rounds[0].stops
    assert (sorted(stop.fans), stop.leave - stop.start) == ([1, 2], 80)


# 20 fans of 30 minutes are ten hours; no shift has more than eight.
def test_plan_when_a_roof_takes_longer_than_a_day_then_days_share_it() -> None:
    fans = [late(key, 1) for key in range(20)]
    plan = planned(week([site(1)], fans, technician(1, shift(0), shift(1))))
    assert sum(len(stop.fans) for each in plan.rounds for stop in each.stops) == 20
    assert len(plan.rounds) == 2


# On the line each node further costs two minutes and two kilometres there and back: 3.
@pytest.mark.parametrize(
    ("roofs", "costs"), [((3, 5), {3: 0.0, 5: 6.0}), ((5,), {5: 15.0}), ((3, 5, 9), {9: 12.0})]
)
def test_stop_when_told_then_what_the_round_saves_without_it(
    roofs: tuple[int, ...], costs: dict[int, float]
) -> None:
    plan = planned(week([site(key) for key in roofs], [late(key) for key in roofs]))
    told = {stop.site: stop.detour_cost for each in plan.rounds for stop in each.stops}
    assert {key: told[key] for key in costs} == costs


def test_stop_when_laid_in_two_parts_then_each_tells_the_whole_coming() -> None:
    roof = site(5, stop_hours=(((600, 700),),) * 7)
    problem = week([roof], [late(1, 5, stopped=True), late(2, 5)])
    parts = CurrentStop(5, (2,)), CurrentStop(5, (1,))
    (told,) = price_rounds(problem, [CurrentRound(1, MONDAY, parts)])
    assert [stop.detour_cost for stop in told.stops] == [15.0, 15.0]
