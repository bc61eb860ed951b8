"""Fans due soon at a site that is visited anyway: done now where that beats coming back."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from schedules.engine.rounds.board import Board
from schedules.engine.rounds.routes import Routes, replaced
from schedules.engine.rounds.tasks import Task
from schedules.engine.rounds.timing import Route, overtime_of, round_cents, times_of


def pulled_forward(board: Board, routes: Routes) -> Routes:
    """The same rounds with what falls due soon, as far as there is time without more overtime.

    Coming back costs what this stop costs the round now.  It is saved only if all that falls due
    next at the site is done, so that a later week follows only once the ones before it are in.
    """
    soon: dict[int, list[int]] = {}
    for number, each in enumerate(board.tasks):
        if each.soon_week:
            soon.setdefault(each.site.key, []).append(number)
    for workday in range(len(routes)):
        for site in dict.fromkeys(_sites(board, routes[workday])):
            waiting = sorted(soon.pop(site, ()), key=lambda task: board.tasks[task].soon_week)
            coming_back = _coming_back(board, workday, routes[workday], site)
            for task in waiting:
                route = _with(board, workday, routes[workday], task)
                if route is None or _too_early(board, workday, task) >= coming_back:
                    break
                routes = replaced(routes, workday, route)
    return routes


def _sites(board: Board, route: Route) -> Iterator[int]:
    for number in route:
        yield board.tasks[board.options[number].task].site.key


def _coming_back(board: Board, workday: int, route: Route, site: int) -> int:
    """What the round would save without this site [cents]."""
    at = zip(route, _sites(board, route), strict=True)
    without = [number for number, key in at if key != site]
    return round_cents(board, workday, route) - round_cents(board, workday, without)


def _too_early(board: Board, workday: int, task: int) -> float:
    """What is given away by not using each fan's interval to its end [cents]."""
    day, rate = board.workdays[workday].shift.day, board.problem.params.travel_hour_cost
    return sum(
        fan.minutes * rate / 0.6 * min(1.0, max(0, fan.due_day - day) / fan.interval_days)
        for fan in board.tasks[task].fans
    )


def _with(board: Board, workday: int, route: Route, task: int) -> Route | None:
    """The route with the task beside its site's others, if that takes no more than its work."""
    before = times_of(board, workday, route)
    if before is None:
        return None
    for tried in _beside(board, workday, route, board.tasks[task], board.options_of[task]):
        after = times_of(board, workday, tried)
        if (
            after is not None
            and after.minutes <= before.minutes + board.tasks[task].minutes
            and overtime_of(board, workday, after) <= overtime_of(board, workday, before)
        ):
            return tried
    return None


def _beside(
    board: Board, workday: int, route: Route, task: Task, options: Sequence[int]
) -> Iterator[Route]:
    at = [place for place, key in enumerate(_sites(board, route)) if key == task.site.key]
    for number in options:
        if board.allowed[workday, number]:
            for place in dict.fromkeys((at[-1] + 1, at[0])):
                yield (*route[:place], number, *route[place:])
