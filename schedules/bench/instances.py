"""Published routing problems read from their files and solved, held against the best known."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import vrplib
from pyvrp import ProblemData, Solution, read, solve

from schedules.engine.rounds.solving import stop_after


@dataclass(frozen=True, slots=True)
class Convention:
    """How an instance's distances become whole numbers, and how many of them make one unit."""

    round_func: str
    units: int


CONVENTIONS = {
    "CVRP": Convention("round", 1),
    "CPTP": Convention("exact", 1000),
    "CVRPTW": Convention("dimacs", 10),
    "VRPTW": Convention("dimacs", 10),
}
"""By TYPE, as the authors of each class of instances publish their costs."""

AS_GIVEN = Convention("none", 1)


@dataclass(frozen=True, slots=True)
class InstanceFigures:
    """What was found for one instance.

    ``cost`` is distance, with the prizes of customers not visited where there are prizes; then
    ``profit`` is prizes collected less distance, and ``best_known`` is a profit too.
    """

    instance: str
    customers: int
    seed: int
    iterations: int
    seconds: float
    cost: float
    profit: float | None
    best_known: float | None
    gap_percent: float | None
    visited: int
    routes: list[list[int]]
    feasible: bool


def solve_instance(
    file: Path, *, seconds: float | None, iterations: int | None, seed: int
) -> InstanceFigures:
    """Solve the VRPLIB file; a file of the same name ending in .sol tells the best known cost.

    Raises ValueError for a file that is missing or cannot be read.
    """
    about, convention = read_about(file)
    data = read_data(file, convention)
    found = solve(data, stop_after(iterations, seconds), seed=seed, collect_stats=False)
    # The solver may do worse than visiting nobody where customers are optional.
    empty = Solution(data, [])
    best = found.best
    if empty.is_feasible() and not (best.is_feasible() and found.cost() < _cost(empty)):
        best = empty
    prizes = sum(client.prize for client in data.clients())
    cost = _cost(best) / convention.units
    profit = (prizes - _cost(best)) / convention.units if prizes else None
    known = best_known(file)
    routes = [[1 + stop.idx for stop in route if stop.is_client()] for route in best.routes()]
    return InstanceFigures(
        instance=str(about.get("name", file.name)),
        customers=data.num_clients,
        seed=seed,
        iterations=found.num_iterations,
        seconds=round(found.runtime, 3),
        cost=cost,
        profit=profit,
        best_known=known,
        gap_percent=_gap(cost, profit, known),
        visited=sum(len(route) for route in routes),
        routes=routes,
        feasible=best.is_feasible(),
    )


def read_about(file: Path) -> tuple[dict[str, Any], Convention]:
    """What the file says, and how its distances are counted."""
    try:
        about: dict[str, Any] = vrplib.read_instance(file)
    except OSError as error:
        raise ValueError(f"{file} cannot be read: {error.strerror}") from error
    except (KeyError, RuntimeError, TypeError, ValueError) as error:
        raise ValueError(f"{file} is no VRPLIB file: {error}") from error
    if about.get("edge_weight_type") == "EXPLICIT":
        return about, AS_GIVEN
    return about, CONVENTIONS.get(str(about.get("type", "")).upper(), AS_GIVEN)


def read_data(file: Path, convention: Convention) -> ProblemData:
    """The solver's own form of the file."""
    try:
        return read(file, round_func=convention.round_func)
    except (KeyError, TypeError, ValueError) as error:
        raise ValueError(f"{file} cannot be solved: {error}") from error


def best_known(file: Path) -> float | None:
    """The cost in the .sol file beside the instance; None without one."""
    beside = file.with_suffix(".sol")
    if not beside.exists():
        return None
    return float(vrplib.read_solution(beside)["cost"])


def _cost(solution: Solution) -> int:
    return (
        solution.distance_cost()
        + solution.duration_cost()
        + solution.fixed_vehicle_cost()
        + solution.uncollected_prizes()
    )


def _gap(cost: float, profit: float | None, known: float | None) -> float | None:
    if not known:
        return None
    lost = cost - known if profit is None else known - profit
    return round(100 * lost / abs(known), 3)
