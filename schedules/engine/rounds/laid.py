"""A week as somebody laid it: what it leaves out, and why, found by trying what still fits."""

from __future__ import annotations

from dataclasses import dataclass, replace

from schedules.engine.rounds.answer import LeftOut, Overload
from schedules.engine.rounds.board import Board, lay_out
from schedules.engine.rounds.hours import ALWAYS
from schedules.engine.rounds.overload import overload_told
from schedules.engine.rounds.problem import CurrentRound, CurrentStop, DueFan, Problem, Site
from schedules.engine.rounds.reasons import left_out
from schedules.engine.rounds.routes import Routes, empty_routes, repaired, replaced, tasks_done
from schedules.engine.rounds.telling import price_rounds


@dataclass(frozen=True, slots=True)
class Remainder:
    """What no round does, and the required part of it for which there is no time."""

    left_out: tuple[LeftOut, ...]
    overload: Overload | None


def remainder_of(problem: Problem) -> Remainder:
    """What the current rounds leave out, and why; nothing is moved or searched.

    Room in a published round counts, since a person may use it.
    """
    tied, copies = _tied(problem)
    board = lay_out(tied)
    routes = current_routes(board)
    board = _closed_where_over(board, routes)
    undone = {number for number in board.due if board.tasks[number].pinned_to is None}
    reasons = left_out(board, routes, undone)
    overload = overload_told(board, routes, undone, reasons)
    if overload is not None:
        late = dict.fromkeys(copies.get(site, site) for site in overload.late)
        overload = replace(overload, late=tuple(late))
    return Remainder(reasons, overload)


def current_routes(board: Board) -> Routes:
    """The current plan as far as it can be done."""
    task_of = {fan.key: task for task in board.due for fan in board.tasks[task].fans}
    number_of = {
        (day.technician, day.shift.day): number for number, day in enumerate(board.workdays)
    }
    routes, done = empty_routes(board), set()
    for current in board.problem.current:
        workday = number_of.get((current.technician, current.day))
        if workday is not None:
            tasks = [task for task in _tasks(current, task_of) if task not in done]
            routes = replaced(routes, workday, repaired(board, workday, tasks))
            done |= tasks_done(board, routes)
    return routes


def _tasks(current: CurrentRound, task_of: dict[int, int]) -> list[int]:
    found = (task_of.get(key) for stop in current.stops for key in stop.fans)
    return list(dict.fromkeys(task for task in found if task is not None))


def _tied(problem: Problem) -> tuple[Problem, dict[int, int]]:
    """The same week with each stop pinned where it is, and nothing to be pulled forward.

    A stop that breaks something takes its time all the same: at a copy of its site that is open to
    anybody, always.  Returns also the sites by their copies.
    """
    told = (stop for each in price_rounds(problem, problem.current) for stop in each.stops)
    broken = {key for stop in told if stop.broken for key in (*stop.fans, *stop.pulled_forward)}
    beyond = 1 + max((site.key for site in problem.sites), default=0)
    copy_of = {site.key: beyond + number for number, site in enumerate(problem.sites)}
    loose: set[int] = set()

    def tied(stop: CurrentStop) -> CurrentStop:
        if broken.isdisjoint(stop.fans):
            return replace(stop, pinned=True)
        loose.update(stop.fans)
        return CurrentStop(copy_of[stop.site], stop.fans, pinned=True)

    rounds = tuple(
        replace(each, published=False, stops=tuple(map(tied, each.stops)))
        for each in problem.current
    )
    tied_week = replace(
        problem,
        sites=(*problem.sites, *(_open(site, copy_of[site.key]) for site in problem.sites)),
        fans=tuple(
            _free(fan, copy_of[fan.site]) if fan.key in loose else fan for fan in problem.fans
        ),
        current=rounds,
        params=replace(problem.params, soon_days=0),
    )
    return tied_week, {copy: key for key, copy in copy_of.items()}


def _open(site: Site, key: int) -> Site:
    return Site(key, site.node, site.access_minutes, ALWAYS)


def _free(fan: DueFan, site: int) -> DueFan:
    return replace(fan, site=site, skill="", stopped=False, not_before_day=0, blockers=())


def _closed_where_over(board: Board, routes: Routes) -> Board:
    """The board without the workdays whose own stops are too much already: there is no room."""
    done = tasks_done(board, routes)
    over = {task.pinned_to for number, task in enumerate(board.tasks) if number not in done}
    allowed = board.allowed.copy()
    for number, day in enumerate(board.workdays):
        if (day.technician, day.shift.day) in over:
            allowed[number] = False
    return replace(board, allowed=allowed)
