"""A plan by number: one route for each workday; what it costs, what it leaves."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Sequence
from dataclasses import dataclass

from schedules.engine.rounds.board import Board
from schedules.engine.rounds.prices import day_cents
from schedules.engine.rounds.timing import Route, route_cents, times_of

Routes = tuple[Route, ...]


@dataclass(frozen=True, slots=True)
class Insertion:
    """Where an option fits into a route, and what it adds [cents]."""

    workday: int
    route: Route
    option: int
    cents: int


def empty_routes(board: Board) -> Routes:
    """The routes by which nobody goes anywhere: an empty one for each workday."""
    return ((),) * len(board.workdays)


def tasks_done(board: Board, routes: Iterable[Route]) -> set[int]:
    """Numbers of the tasks that any of the routes does."""
    return {board.options[number].task for route in routes for number in route}


def tasks_moved(board: Board, before: Sequence[Route], after: Sequence[Route]) -> int:
    """How many tasks both do, each on another workday."""
    was, now = (
        {board.options[number].task: day for day, route in enumerate(routes) for number in route}
        for routes in (before, after)
    )
    return sum(was[task] != now[task] for task in was.keys() & now.keys())


def objective_cents(board: Board, routes: Sequence[Route]) -> int:
    """What rounds cost and undone tasks weigh; by this plans of one board are compared."""
    total = sum(board.worth[task] for task in board.due)
    for workday, route in enumerate(routes):
        cents = route_cents(board, workday, route)
        if cents is None:
            raise AssertionError(f"route {route} of workday {workday} cannot be done")
        total += cents - sum(board.options[number].weight for number in route)
    return total


def cheapest(
    board: Board, routes: Sequence[Route], task: int, among: Container[int] | None = None
) -> Insertion | None:
    """The cheapest place for a task that keeps every clock; None if there is none.

    ``among`` are the workdays looked at, by default all.
    """
    best: Insertion | None = None
    for found in sorted(places(board, routes, task, among), key=lambda place: place.cents):
        # Overtime only adds to the way, and the ways ascend.
        if best is not None and found.cents >= best.cents:
            break
        after = route_cents(board, found.workday, found.route)
        if after is not None:
            cents = after - (route_cents(board, found.workday, routes[found.workday]) or 0)
            if best is None or cents < best.cents:
                best = Insertion(found.workday, found.route, found.option, cents)
    return best


def places(
    board: Board, routes: Sequence[Route], task: int, among: Container[int] | None = None
) -> Iterator[Insertion]:
    """Every place where somebody may do a task, clocks left aside, with what the way adds."""
    day = day_cents(board.problem.params)
    for number in board.options_of[task]:
        place = board.place(number)
        for workday in board.allowed[:, number].nonzero()[0].tolist():
            if among is not None and workday not in among:
                continue
            route = routes[workday]
            stops = [
                board.workdays[workday].start,
                *(board.place(each) for each in route),
                board.workdays[workday].end,
            ]
            extra = 0 if route else day
            for at in range(len(route) + 1):
                before, after = stops[at], stops[at + 1]
                gap = board.cents[before][after] if route else 0
                cents = board.cents[before][place] + board.cents[place][after] - gap + extra
                yield Insertion(workday, (*route[:at], number, *route[at:]), number, cents)


def cheapest_way(board: Board, routes: Sequence[Route], task: int) -> int | None:
    """The least that doing a task adds in ways, were time no matter [cents]."""
    return min((found.cents for found in places(board, routes, task)), default=None)


def replaced(routes: Sequence[Route], workday: int, route: Route) -> Routes:
    """The same with one route changed."""
    return (*routes[:workday], route, *routes[workday + 1 :])


def filled(board: Board, routes: Sequence[Route], tasks: Iterable[int]) -> Routes:
    """Insert what pays and fits, the most valuable first, until nothing more does."""
    found, left = tuple(routes), sorted(tasks, key=lambda task: -board.worth[task])
    while True:
        before = len(left)
        for task in list(left):
            insertion = cheapest(board, found, task)
            if insertion and insertion.cents < board.options[insertion.option].weight:
                found = replaced(found, insertion.workday, insertion.route)
                left.remove(task)
        if len(left) == before:
            return found


def repaired(board: Board, workday: int, tasks: Iterable[int]) -> Route:
    """As many of these tasks, kept in order, as the workday's clock and permissions allow."""
    kept: Route = ()
    for task in tasks:
        for number in board.options_of[task]:
            if board.allowed[workday, number] and times_of(board, workday, (*kept, number)):
                kept = (*kept, number)
                break
    return kept
