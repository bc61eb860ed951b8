"""What a careful person without a planner does: the longest due first, then whoever is nearest."""

from __future__ import annotations

from schedules.engine.rounds.board import Board
from schedules.engine.rounds.routes import Routes, empty_routes, replaced
from schedules.engine.rounds.timing import Route, times_of


def nearest_by_due_date(board: Board) -> Routes:
    """Each workday begins with the site due longest and goes on to the nearest that still fits."""
    left = sorted(board.due, key=lambda task: min(fan.due_day for fan in board.tasks[task].fans))
    routes = empty_routes(board)
    order = sorted(range(len(board.workdays)), key=lambda each: board.workdays[each].shift.day)
    for workday in order:
        route = _one_day(board, workday, left)
        routes = replaced(routes, workday, route)
        done = {board.options[number].task for number in route}
        left = [task for task in left if task not in done]
    return routes


def _one_day(board: Board, workday: int, left: list[int]) -> Route:
    route: Route = ()
    for task in left:
        for number in board.options_of[task]:
            if board.allowed[workday, number] and times_of(board, workday, (number,)):
                return _onwards(board, workday, (number,), left)
    return route


def _onwards(board: Board, workday: int, route: Route, left: list[int]) -> Route:
    while True:
        done = {board.options[number].task for number in route}
        here = board.cents[board.place(route[-1])]
        ahead = sorted(
            (here[board.place(number)], number)
            for task in left
            if task not in done
            for number in board.options_of[task]
            if board.allowed[workday, number]
        )
        nearest = next(
            (number for _, number in ahead if times_of(board, workday, (*route, number))), None
        )
        if nearest is None:
            return route
        route = (*route, nearest)
