"""A week of rounds against the bare solver and a careful person; replans, growth, memory."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

from pyvrp import Solution, solve

from schedules.bench.measuring import memory_mb, seconds_of, timed
from schedules.bench.nearest import nearest_by_due_date
from schedules.bench.weeks import invented_week, searched
from schedules.engine import plan_rounds
from schedules.engine.rounds import CurrentRound, CurrentStop, Plan, Problem
from schedules.engine.rounds.board import Board, lay_out
from schedules.engine.rounds.routes import Routes, tasks_done
from schedules.engine.rounds.solving import model_of, stop_after
from schedules.engine.rounds.tasks import is_due, is_required
from schedules.engine.rounds.timing import route_cents

FANS_A_SITE = 200 / 90
FANS_A_TECHNICIAN = 50
REPLAN_SECONDS = 0.3
REPLAN_ITERATIONS = 100
GROWTH_ITERATIONS = 100


@dataclass(frozen=True, slots=True)
class WeekFigures:
    """What one invented week came to; money is what rounds cost and waiting of those left out.

    ``cost_to_solver`` is our objective over that of PyVRP as it comes, on the same model and for as
    long; ``better_than_nearest_percent`` compares money with sites taken by due date, then nearest.
    """

    fans: int
    sites: int
    technicians: int
    due_stops: int
    seed: int
    seconds: float | None
    iterations: int | None
    seconds_taken: float
    cost: float
    visited: int
    required_left: int
    cost_to_solver: float
    better_than_nearest_percent: float
    nearest_required_left: int
    replan_seconds: float
    replan_to_plan: float
    """Money after one stop was called off, over that before."""
    replan_kept_percent: float
    """Stops that kept their technician and day."""
    growth: float
    """Seconds for twice the fans, sites and technicians over those for this week, iterations
    alike."""
    peak_mb: float


def measure_week(
    *, fans: int, sites: int | None, technicians: int | None, seconds: float | None,
    iterations: int | None, seed: int, tell: Callable[[str], object],
) -> WeekFigures:  # fmt: skip
    """Plan an invented week of this size and compare; seconds or iterations bound each search.

    Raises ValueError for sizes that make no week.
    """
    sites = round(fans / FANS_A_SITE) if sites is None else sites
    technicians = max(1, round(fans / FANS_A_TECHNICIAN)) if technicians is None else technicians
    if min(fans, sites, technicians) < 1:
        raise ValueError(
            f"{fans} fans, {sites} sites, {technicians} technicians make no week; "
            "give at least 1 of each"
        )
    week = invented_week(fans=fans, sites=sites, technicians=technicians, seed=seed)
    problem = searched(week, seconds=seconds, iterations=iterations)
    tell(f"planning {fans} fans at {sites} sites for {technicians} technicians …")
    plan, taken = timed(lambda: plan_rounds(problem))
    peak = memory_mb()[1]
    board = lay_out(problem)
    tell("the solver as it comes, as long …")
    bare = _bare_objective(board)
    nearest = nearest_by_due_date(board)
    tell("one stop called off, then twice the size …")
    replanned, again = _replan(problem, plan)
    return WeekFigures(
        fans=fans,
        sites=sites,
        technicians=technicians,
        due_stops=len(board.due),
        seed=seed,
        seconds=seconds,
        iterations=iterations,
        seconds_taken=round(taken, 3),
        cost=round(plan.cost, 2),
        visited=sum(len(stop.fans) for each in plan.rounds for stop in each.stops),
        required_left=sum(len(each.fans) for each in plan.left_out if each.required),
        cost_to_solver=round(plan.objective / bare, 4),
        better_than_nearest_percent=round(100 * (1 - plan.cost / _money(board, nearest)), 2),
        nearest_required_left=_required_left(board, nearest),
        replan_seconds=round(again, 3),
        replan_to_plan=round(replanned.cost / plan.cost, 4),
        replan_kept_percent=round(
            100 * len(_places(replanned) & _places(plan)) / len(_places(plan)), 1
        ),
        growth=round(_growth(week, fans, sites, technicians), 2),
        peak_mb=round(peak, 1),
    )


def _bare_objective(board: Board) -> float:
    """PyVRP's own settings and start on the same model."""
    data = model_of(board).data
    stop = stop_after(board.problem.iterations, board.problem.seconds)
    found = solve(data, stop, seed=board.problem.seed, collect_stats=False)
    best = found.best if found.is_feasible() else Solution(data, [])
    ways = best.distance_cost() + best.duration_cost() + best.fixed_vehicle_cost()
    worth = sum(board.worth[task] for task in board.due)
    return (ways + worth - best.prizes()) / 100


def _money(board: Board, routes: Routes) -> float:
    """What routes cost and waiting of the rest, as the plan counts it."""
    done = tasks_done(board, routes)
    ways = sum(route_cents(board, each, route) or 0 for each, route in enumerate(routes))
    fans = {fan.key for task in done for fan in board.tasks[task].fans}
    waiting = sum(
        fan.prize
        for fan in board.problem.fans
        if fan.key not in fans and is_due(board.problem, fan)
    )
    return ways / 100 + waiting


def _required_left(board: Board, routes: Routes) -> int:
    left = set(board.due) - tasks_done(board, routes)
    return sum(len(board.tasks[t].fans) for t in left if is_required(board.problem, board.tasks[t]))


def _replan(problem: Problem, plan: Plan) -> tuple[Plan, float]:
    """The week again, from the plan, after the first stop of it was called off."""
    gone = plan.rounds[0].stops[0]
    fans = tuple(fan for fan in problem.fans if fan.site != gone.site)
    current = tuple(
        CurrentRound(
            each.technician,
            each.day,
            tuple(
                CurrentStop(stop.site, (*stop.fans, *stop.pulled_forward))
                for stop in each.stops
                if stop.site != gone.site
            ),
        )
        for each in plan.rounds
    )
    changed = replace(problem, fans=fans, current=current)
    if problem.seconds is None:
        changed = searched(changed, iterations=REPLAN_ITERATIONS)
    else:
        changed = searched(changed, seconds=REPLAN_SECONDS)
    return timed(lambda: plan_rounds(changed))


def _places(plan: Plan) -> set[tuple[int, int, int]]:
    """Who goes where on which day."""
    return {(each.technician, each.day, stop.site) for each in plan.rounds for stop in each.stops}


def _growth(week: Problem, fans: int, sites: int, technicians: int) -> float:
    twice = invented_week(
        fans=2 * fans, sites=2 * sites, technicians=2 * technicians, seed=week.seed
    )
    once, double = (
        seconds_of(partial(plan_rounds, searched(each, iterations=GROWTH_ITERATIONS)))
        for each in (week, twice)
    )
    return double / once
