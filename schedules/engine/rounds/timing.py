"""When a round leaves, works and is back: the clock of one workday, and what it costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from schedules.engine.rounds.board import Board
from schedules.engine.rounds.prices import day_cents, overtime_cents

Route = tuple[int, ...]
"""Options in order."""


@dataclass(frozen=True, slots=True)
class Times:
    """Minutes of the day: when the base is left, and when it is reached again."""

    leave: int
    back: int

    @property
    def minutes(self) -> int:
        """How long the round lasts."""
        return self.back - self.leave


def times_of(board: Board, workday: int, route: Sequence[int]) -> Times | None:
    """The shortest round in this order that is back as early as can be; None if there is none.

    Forwards each stop begins as early as it may; backwards from that return each as late as it
    may, so that waiting is at home.
    """
    day, legs, base = board.workdays[workday], board.minutes, len(board.bases)
    at, clock = day.start, day.shift.start_minute
    for number in route:
        option = board.options[number]
        clock = max(clock + legs[at][base + number], option.opens)
        if clock > option.latest:
            return None
        clock += option.minutes
        at = base + number
    back = clock + legs[at][day.end]
    limit, after = back, day.end
    for number in reversed(route):
        option = board.options[number]
        limit = min(limit - legs[base + number][after] - option.minutes, option.latest)
        after = base + number
    leave = limit - legs[day.start][after]
    if day.shift.overtime(leave, back) > day.shift.overtime_minutes:
        return None
    return Times(leave, back)


def overtime_of(board: Board, workday: int, times: Times) -> int:
    """Minutes past the shift's end, or taken from its reserve."""
    return board.workdays[workday].shift.overtime(times.leave, times.back)


def round_cents(board: Board, workday: int, route: Sequence[int]) -> int:
    """Ways, access and the day itself; nothing for a day not used."""
    if not route:
        return 0
    day, cents, base = board.workdays[workday], board.cents, len(board.bases)
    at, total = day.start, day_cents(board.problem.params)
    for number in route:
        total += cents[at][base + number]
        at = base + number
    return total + cents[at][day.end]


def route_cents(board: Board, workday: int, route: Sequence[int]) -> int | None:
    """What a round costs with its overtime; None if it cannot be done."""
    if not route:
        return 0
    times = times_of(board, workday, route)
    if times is None:
        return None
    overtime = overtime_of(board, workday, times)
    return round_cents(board, workday, route) + overtime_cents(board.problem.params, overtime)
