"""Required sites for which there is no time: told by name, with what would cure it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from schedules.engine.rounds.answer import ExtraDay, ExtraTime, LeftOut, Overload, Reason
from schedules.engine.rounds.board import Board
from schedules.engine.rounds.routes import (
    Routes,
    cheapest,
    empty_routes,
    replaced,
    tasks_done,
)
from schedules.engine.rounds.timing import Route, times_of


def overload_told(
    board: Board, routes: Routes, undone: Iterable[int], reasons: Iterable[LeftOut]
) -> Overload | None:
    """What is too much of all that is undone, by the reasons found for it."""
    short = {
        key for each in reasons if each.required and each.reason is Reason.FULL for key in each.fans
    }
    return overload_of(
        board, routes, [task for task in sorted(undone) if board.tasks[task].fans[0].key in short]
    )


def overload_of(board: Board, routes: Routes, tasks: Sequence[int]) -> Overload | None:
    """What is too much: the required ``tasks`` that found no time, and those done only late.

    None if there are neither.
    """
    late = list(_late(board, routes))
    if not tasks and not late:
        return None
    days, not_by_days = _extra_days(board, tasks)
    overtime, not_by_overtime = _extra_time(board, routes, tasks)
    done = [board.tasks[task] for task in tasks]
    return Overload(
        _sites(board, tasks),
        _sites(board, late),
        sum(task.site.access_minutes + task.minutes for task in done),
        days,
        _sites(board, not_by_days),
        overtime,
        _sites(board, not_by_overtime),
        sum(task.prize for task in done),
    )


def _late(board: Board, routes: Routes) -> Iterator[int]:
    """Tasks with a last day within the week that are done after it."""
    for workday, route in zip(board.workdays, routes, strict=True):
        for number in route:
            task = board.options[number].task
            if board.problem.days[0] <= board.tasks[task].latest_day < workday.shift.day:
                yield task


def _extra_days(board: Board, tasks: Iterable[int]) -> tuple[tuple[ExtraDay, ...], list[int]]:
    """One more day like the one that would do most of them, and again for the rest."""
    left, days = list(tasks), []
    kinds = _kinds(board)
    while left:
        rounds = {workday: _one_day(board, workday, left) for workday in kinds}
        best = max(kinds, key=lambda workday: _weight(board, rounds[workday]), default=None)
        if best is None or not rounds[best]:
            break
        done = tasks_done(board, [rounds[best]])
        workday = board.workdays[best]
        days.append(ExtraDay(workday.technician, workday.shift.day, _sites(board, sorted(done))))
        left = [task for task in left if task not in done]
    return tuple(days), left


def _kinds(board: Board) -> list[int]:
    """The first of all workdays that would do the same."""
    kinds: dict[tuple[object, ...], int] = {}
    for number, workday in enumerate(board.workdays):
        hours = replace(workday.shift, day=0)
        kinds.setdefault(
            (workday.start, workday.end, hours, board.allowed[number].tobytes()), number
        )
    return list(kinds.values())


def _one_day(board: Board, workday: int, tasks: Iterable[int]) -> Route:
    routes = empty_routes(board)
    for task in sorted(tasks, key=lambda task: -board.worth[task]):
        found = cheapest(board, routes, task, among=(workday,))
        if found is not None:
            routes = replaced(routes, workday, found.route)
    return routes[workday]


def _weight(board: Board, route: Route) -> int:
    return sum(board.options[number].weight for number in route)


def _extra_time(
    board: Board, routes: Routes, tasks: Iterable[int]
) -> tuple[tuple[ExtraTime, ...], list[int]]:
    """Overtime beyond what is allowed that would take them in, where it is least."""
    more = board.problem.params.cure_overtime_minutes
    longer = replace(
        board,
        workdays=tuple(
            replace(
                day, shift=replace(day.shift, overtime_minutes=day.shift.overtime_minutes + more)
            )
            for day in board.workdays
        ),
    )
    left: list[int] = []
    served: dict[int, list[int]] = {}
    for task in sorted(tasks, key=lambda task: -board.worth[task]):
        found = cheapest(longer, routes, task)
        if found is None:
            left.append(task)
        else:
            routes = replaced(routes, found.workday, found.route)
            served.setdefault(found.workday, []).append(task)
    extra = tuple(
        ExtraTime(
            board.workdays[workday].technician,
            board.workdays[workday].shift.day,
            _beyond(board, longer, workday, routes[workday]),
            _sites(board, done),
        )
        for workday, done in sorted(served.items())
    )
    return extra, left


def _beyond(board: Board, longer: Board, workday: int, route: Route) -> int:
    """Minutes past what the shift allows now."""
    shift = board.workdays[workday].shift
    times = times_of(longer, workday, route)
    if times is None:
        raise AssertionError(f"route {route} does not fit although it was found to")
    return max(0, shift.overtime(times.leave, times.back) - shift.overtime_minutes)


def _sites(board: Board, tasks: Iterable[int]) -> tuple[int, ...]:
    return tuple(dict.fromkeys(board.tasks[task].site.key for task in tasks))
