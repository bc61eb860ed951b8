"""The board as PyVRP's model, and its best routes; nothing but planning imports this.

Traps known of PyVRP 0.14: a client has one span of hours and no list of vehicles, so that each
option is a client at a location of its own and each set of options allowed a profile in which the
ways into all others are too dear to go; of equal workdays only the number is told; it starts from
full routes and drops clients of little worth slowly, so that its answer is held against others.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from pyvrp import (
    Client,
    ClientGroup,
    Depot,
    IteratedLocalSearchParams,
    Location,
    PenaltyParams,
    ProblemData,
    Solution,
    SolveParams,
    VehicleType,
    solve,
)
from pyvrp import Route as SolvedRoute
from pyvrp.stop import MaxIterations, MaxRuntime, MultipleCriteria, StoppingCriterion

from schedules.engine.rounds.board import Board
from schedules.engine.rounds.prices import day_cents, overtime_cents, way_cents
from schedules.engine.rounds.routes import Routes, empty_routes, replaced
from schedules.engine.rounds.timing import Route

LATE_TO_DRIVE = 20.0
"""A minute late costs as much as so many on the way, to begin with."""

UPDATE_AFTER = 100
"""Iterations after which the price of lateness changes."""

HISTORY = 100
"""Iterations for which a plan worse than the one gone on from is kept in mind.

The solver's own 300 are for searches of minutes; in seconds it has not come to rest by then.
"""

Kind = tuple[int, ...]
"""Workdays that are alike to the solver, whoever's they are, by day."""


@dataclass(frozen=True, eq=False)
class Model:
    """PyVRP's data with what its numbers mean here."""

    data: ProblemData
    options: tuple[int, ...]
    """By client."""
    kinds: tuple[Kind, ...]
    """By vehicle type."""
    params: SolveParams


def model_of(board: Board) -> Model:
    """Everything due as clients; what may only be pulled forward is left out."""
    due = set(board.due)
    chosen = [n for n, option in enumerate(board.options) if option.task in due]
    kinds = _kinds(board, chosen)
    profiles: dict[bytes, int] = {}
    types = [_vehicle_type(board, kind, chosen, profiles) for kind in kinds]
    clients, groups = _clients(board, chosen)
    at = np.array([*range(len(board.bases)), *(board.place(n) for n in chosen)], np.intp)
    far = _too_far(board)
    ways: list[Any] = [
        _barred(board.leg_cents[np.ix_(at, at)], np.frombuffer(mask, np.bool_), far)
        for mask in profiles
    ]
    minutes: Any = board.leg_minutes[np.ix_(at, at)]
    data = ProblemData(
        locations=[Location(0, 0) for _ in at],
        clients=clients,
        depots=[Depot(location=base) for base in range(len(board.bases))],
        vehicle_types=types,
        distance_matrices=ways,
        duration_matrices=[minutes] * len(ways),
        groups=groups,
    )
    params = SolveParams(
        ils=IteratedLocalSearchParams(history_length=HISTORY), penalty=_penalties(board, clients)
    )
    return Model(data, tuple(chosen), kinds, params)


def _penalties(board: Board, clients: Sequence[Client]) -> PenaltyParams:
    """From a price of lateness in keeping with the ways, up to where no client is worth a minute.

    By default the solver begins half-way to the highest price, so far from any way's that it takes
    thousands of iterations until it dares to be late for a while and find better orders.
    """
    penalties = _Lateness(
        solutions_between_updates=UPDATE_AFTER,
        max_penalty=max([100_000.0, *(float(client.prize) for client in clients)]),
    )
    penalties.minute = LATE_TO_DRIVE * float(way_cents(board.problem.params, 1, 0))
    return penalties


class _Lateness(PenaltyParams):
    """The solver's own settings but for the price with which it begins."""

    minute = 0.0

    def midpoint_penalties(self, data: ProblemData) -> tuple[list[float], float, float]:
        """As the solver has it, but lateness begins at ``minute`` [cents per minute]."""
        loads, _, distance = super().midpoint_penalties(data)
        return loads, max(self.minute, 100.0), distance


def solved(board: Board, model: Model, start: Routes | None, stop: StoppingCriterion) -> Routes:
    """The best routes found before ``stop``, from ``start`` if given."""
    initial = None if start is None else solution_of(model, start)
    result = solve(
        model.data,
        stop,
        seed=board.problem.seed,
        collect_stats=False,
        params=model.params,
        initial_solution=initial,
    )
    if not result.is_feasible():
        return empty_routes(board)
    return _routes(board, model, result.best, start or empty_routes(board))


def stop_after(iterations: int | None, seconds: float | None) -> StoppingCriterion:
    """Whichever is reached first; one of them must be given.  Seconds count from now."""
    criteria: list[StoppingCriterion] = []
    if iterations is not None:
        criteria.append(MaxIterations(iterations))
    if seconds is not None:
        runtime = MaxRuntime(seconds)
        # its clock starts when it is first asked, else only once the solver is ready
        runtime(0)
        criteria.append(runtime)
    return MultipleCriteria(criteria)


def _kinds(board: Board, chosen: Sequence[int]) -> tuple[Kind, ...]:
    alike: dict[tuple[object, ...], list[int]] = defaultdict(list)
    for number, day in enumerate(board.workdays):
        mask = board.allowed[number, chosen]
        if mask.any():
            shift = day.shift
            hours = (shift.start_minute, shift.end_minute)
            spare = (shift.overtime_minutes, shift.reserve_minutes)
            alike[day.start, day.end, hours, spare, mask.tobytes()].append(number)
    return tuple(
        tuple(sorted(numbers, key=lambda number: board.workdays[number].shift.day))
        for numbers in alike.values()
    )


def _vehicle_type(
    board: Board, kind: Kind, chosen: Sequence[int], profiles: dict[bytes, int]
) -> VehicleType:
    day = board.workdays[kind[0]]
    shift = day.shift
    mask = board.allowed[kind[0], chosen].tobytes()
    return VehicleType(
        num_available=len(kind),
        start_depot=day.start,
        end_depot=day.end,
        fixed_cost=day_cents(board.problem.params),
        tw_early=shift.start_minute,
        # Who sets out later waits on the solver's clock: so its overtime is by the clock as ours
        # is.  Where none is allowed that changes nothing but the way of the search, for the worse.
        start_late=shift.reserved_until_minute if shift.overtime_minutes else None,
        tw_late=shift.latest_minute,
        shift_duration=shift.regular_minutes,
        max_overtime=shift.overtime_minutes,
        unit_overtime_cost=overtime_cents(board.problem.params),
        profile=profiles.setdefault(mask, len(profiles)),
    )


def _clients(board: Board, chosen: Sequence[int]) -> tuple[list[Client], list[ClientGroup]]:
    """Clients, and groups of those that are ways to do one task."""
    several: dict[int, list[int]] = {}
    for client, number in enumerate(chosen):
        several.setdefault(board.options[number].task, []).append(client)
    groups = [members for members in several.values() if len(members) > 1]
    group_of = {client: group for group, members in enumerate(groups) for client in members}
    clients = [
        Client(
            location=len(board.bases) + client,
            service_duration=option.minutes,
            tw_early=option.opens,
            tw_late=option.latest,
            prize=option.weight,
            required=False,
            group=group_of.get(client),
        )
        for client, option in enumerate(board.options[number] for number in chosen)
    ]
    return clients, [ClientGroup(members, required=False) for members in groups]


def _too_far(board: Board) -> int:
    """More than everything together is worth [cents]."""
    return 1 + sum(option.weight for option in board.options) + int(board.leg_cents.max(initial=0))


def _barred(ways: NDArray[np.int64], mask: NDArray[np.bool_], far: int) -> NDArray[np.int64]:
    bases = len(ways) - len(mask)
    closed = np.flatnonzero(~mask) + bases
    barred = ways.copy()
    barred[:, closed] = far
    barred[closed, closed] = 0
    return barred


def solution_of(model: Model, routes: Routes) -> Solution:
    """Routes as the solver has them."""
    client_of = {option: client for client, option in enumerate(model.options)}
    kind_of = {workday: number for number, kind in enumerate(model.kinds) for workday in kind}
    return Solution(
        model.data,
        [
            SolvedRoute(model.data, [client_of[option] for option in route], kind_of[workday])
            for workday, route in enumerate(routes)
            if route
        ],
    )


def _routes(board: Board, model: Model, solution: Solution, start: Routes) -> Routes:
    """Routes by workday; among workdays that are alike each keeps most of what it had, and of new
    rounds the more urgent goes first."""
    by_kind: dict[int, list[Route]] = defaultdict(list)
    for solved_route in solution.routes():
        stops = tuple(model.options[each.idx] for each in solved_route if each.is_client())
        by_kind[solved_route.vehicle_type()].append(stops)
    routes = empty_routes(board)
    for kind, found in by_kind.items():
        for workday, route in _assigned(board, model.kinds[kind], found, start):
            routes = replaced(routes, workday, route)
    return routes


def _assigned(
    board: Board, kind: Kind, found: Sequence[Route], start: Routes
) -> Iterator[tuple[int, Route]]:
    free, left = list(kind), sorted(found, key=lambda route: _urgency(board, route))
    pairs = [(len(set(route) & set(start[day])), day, route) for day in kind for route in left]
    for shared, day, route in sorted(pairs, key=lambda pair: (-pair[0], pair[1])):
        if shared and day in free and route in left:
            free.remove(day)
            left.remove(route)
            yield day, route
    yield from zip(free, left, strict=False)


def _urgency(board: Board, route: Route) -> tuple[int, int]:
    tasks = [board.tasks[board.options[number].task] for number in route]
    return min(task.latest_day for task in tasks), min(route)
