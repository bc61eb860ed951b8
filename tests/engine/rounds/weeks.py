"""Small weeks laid by hand: sites on a line, one minute and one kilometre apart for each node."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from schedules.bench.weeks import MONDAY
from schedules.engine import plan_rounds
from schedules.engine.rounds import (
    DueFan,
    Plan,
    Problem,
    RoundsParams,
    Shift,
    Site,
    Technician,
    Travel,
)

NEXT = MONDAY + 7
FREE = RoundsParams(day_cost=0.0)


def line(nodes: int) -> Travel:
    """Nodes in a row: a minute and a kilometre from each to the next."""
    apart = np.abs(np.subtract.outer(np.arange(nodes), np.arange(nodes))).astype(float)
    return Travel(apart, apart * 1000)


def site(key: int, node: int | None = None, **facts: object) -> Site:
    """A site at the node of its own number, open always."""
    return Site(key, key if node is None else node, **facts)  # type: ignore[arg-type]


def fan(key: int, at: int | None = None, **facts: object) -> DueFan:
    """A fan due on Monday and overdue two weeks later, 30 minutes, worth 100."""
    known = {"minutes": 30, "due_day": MONDAY, "overdue_after_day": MONDAY + 14, "prize": 100.0}
    return DueFan(key=key, site=key if at is None else at, **{**known, **facts})  # type: ignore[arg-type]


def late(key: int, at: int | None = None, **facts: object) -> DueFan:
    """A fan that is overdue since the week before."""
    return fan(key, at, **{"due_day": MONDAY - 20, "overdue_after_day": MONDAY - 6, **facts})


def shift(day: int = 0, start: int = 480, end: int = 960, **facts: int) -> Shift:
    """Eight hours from eight on a day counted from Monday."""
    return Shift(MONDAY + day, start, end, **facts)


def technician(key: int = 1, *shifts: Shift, skills: Sequence[str] = ()) -> Technician:
    """Somebody who sets out from node 0, by default on Monday alone."""
    return Technician(key, 0, 0, shifts or (shift(),), frozenset(skills))


def week(
    sites: Sequence[Site], fans: Sequence[DueFan], *technicians: Technician, **facts: object
) -> Problem:
    """A week from Monday to Friday on a line of fifty nodes (``travel`` for another)."""
    known = {"days": tuple(range(MONDAY, MONDAY + 5)), "travel": line(50), "iterations": 30,
             "params": FREE}  # fmt: skip
    people = technicians or (technician(),)
    return Problem(tuple(sites), tuple(fans), people, **{**known, **facts})  # type: ignore[arg-type]


def planned(problem: Problem, **changes: object) -> Plan:
    """The plan of a problem, with some of it changed."""
    return plan_rounds(replace(problem, **changes))  # type: ignore[arg-type]


def visited(plan: Plan) -> list[tuple[int, ...]]:
    """Sites in order, by round."""
    return [tuple(stop.site for stop in each.stops) for each in plan.rounds]
