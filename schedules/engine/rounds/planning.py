"""Plan a week: solve, hold against the empty and the current plan, pull forward, give reasons."""

from __future__ import annotations

from pyvrp.stop import StoppingCriterion

from schedules.engine.rounds.answer import LeftOut, Overload, Plan, Round
from schedules.engine.rounds.board import Board, lay_out
from schedules.engine.rounds.laid import current_routes
from schedules.engine.rounds.overload import overload_told
from schedules.engine.rounds.prices import moved_cents
from schedules.engine.rounds.problem import Problem
from schedules.engine.rounds.pulling import pulled_forward
from schedules.engine.rounds.reasons import left_out
from schedules.engine.rounds.routes import (
    Routes,
    empty_routes,
    filled,
    objective_cents,
    tasks_done,
    tasks_moved,
)
from schedules.engine.rounds.solving import model_of, solved, stop_after
from schedules.engine.rounds.sooner import sooner
from schedules.engine.rounds.telling import planned_rounds, price_rounds

SEARCHED = 0.95
"""Of the seconds given; in the rest the plan is made good, and what it leaves out is explained."""


def plan_rounds(problem: Problem) -> Plan:
    """Who goes where in the week, in what order, and who is left out and why.

    Published rounds stay as they are, pinned stops on their technician and day.  With current
    rounds the search starts from them.  The plan is never worse than nobody going or than the
    current one; with ``iterations`` and without ``seconds`` the same problem gives the same plan.

    Raises ProblemError (already when the problem is made) for input that makes no week.
    """
    stop = stop_after(problem.iterations, _search_seconds(problem))
    board = lay_out(problem)
    current = current_routes(board) if problem.current else None
    routes = sooner(board, _best_routes(board, current, stop), current)
    undone = _undone(board, routes)
    reasons = left_out(board, routes, undone)
    found = pulled_forward(board, routes)
    published = price_rounds(problem, (each for each in problem.current if each.published))
    rounds = (*planned_rounds(board, found), *published)
    return _told(
        board, routes, current, rounds, reasons, overload_told(board, routes, undone, reasons)
    )


def _search_seconds(problem: Problem) -> float | None:
    return None if problem.seconds is None else problem.seconds * SEARCHED


def _best_routes(board: Board, current: Routes | None, stop: StoppingCriterion) -> Routes:
    """The best of: nobody goes, the current plan, what fits into it, what the solver finds.

    A plan in force is told to people, so what moves them about must gain something for each move.
    """
    empty = empty_routes(board)
    first = empty if current is None else current
    start = filled(board, first, _undone(board, first))
    tried = [empty, start] if current is None else [empty, current, start]
    if board.due and board.allowed[:, _due_options(board)].any():
        found = solved(board, model_of(board), None if current is None else start, stop)
        tried.append(filled(board, found, _undone(board, found)))
    return min(
        tried, key=lambda routes: objective_cents(board, routes) + _moved(board, first, routes)
    )


def _moved(board: Board, before: Routes, after: Routes) -> int:
    return moved_cents(board.problem.params, tasks_moved(board, before, after))


def _due_options(board: Board) -> list[int]:
    return [number for task in board.due for number in board.options_of[task]]


def _undone(board: Board, routes: Routes) -> set[int]:
    return set(board.due) - tasks_done(board, routes)


def _told(
    board: Board,
    routes: Routes,
    current: Routes | None,
    rounds: tuple[Round, ...],
    reasons: tuple[LeftOut, ...],
    overload: Overload | None,
) -> Plan:
    prize_left = sum(each.prize for each in reasons)
    return Plan(
        rounds=tuple(sorted(rounds, key=lambda each: (each.day, each.technician))),
        left_out=reasons,
        overload=overload,
        prize_collected=sum(stop.prize for each in rounds for stop in each.stops),
        prize_left=prize_left,
        travel_minutes=sum(each.travel_minutes for each in rounds),
        travel_m=sum(each.travel_m for each in rounds),
        cost=sum(each.cost for each in rounds) + prize_left,
        objective=objective_cents(board, routes) / 100,
        objective_empty=objective_cents(board, empty_routes(board)) / 100,
        objective_current=None if current is None else objective_cents(board, current) / 100,
    )
