"""Of days that cost the same or nearly so, what is overdue takes the earlier.

The search itself knows only whether something is done within the week: a price of days in it was
tried and found worse plans.  So rounds and single stops change their days afterwards, as long as
that costs less than the days gained are worth.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from schedules.engine.rounds.board import Board
from schedules.engine.rounds.prices import moved_cents, sooner_cents
from schedules.engine.rounds.routes import Routes, empty_routes, objective_cents, places
from schedules.engine.rounds.timing import Route, route_cents

PASSES = 3
"""Each stop that moved makes room for others; more passes find hardly anything."""

Move = Mapping[int, Route]
"""New routes by workday."""


def sooner(board: Board, routes: Routes, current: Routes | None) -> Routes:
    """The same stops on other days; never worse than nobody going or than the current plan.

    What leaves its place in the ``current`` plan must gain ``moved_stop_cost`` by that.
    """
    week = _Week(board, current)
    for _ in range(PASSES):
        before = routes
        for workday in week.later_first:
            routes = week.bettered(routes, week.swaps(routes, workday))
        for task in week.hasty:
            routes = week.bettered(routes, week.moves(routes, task))
        if routes == before:
            break
    return routes


@dataclass(frozen=True, eq=False)
class _Week:
    """One pass of bettering: the board, and the routes that are in force, if any."""

    board: Board
    current: Routes | None

    @cached_property
    def haste(self) -> list[int]:
        """What a day sooner is worth, by task [cents]."""
        return [sooner_cents(self.board.problem, task.fans) for task in self.board.tasks]

    @cached_property
    def hasty(self) -> list[int]:
        """Tasks that are worth something sooner, those worth most first."""
        found = (task for task in self.board.due if self.haste[task])
        return sorted(found, key=lambda task: -self.haste[task])

    @cached_property
    def days(self) -> list[int]:
        """The day of each workday, as an ordinal."""
        return [workday.shift.day for workday in self.board.workdays]

    @cached_property
    def later_first(self) -> list[int]:
        """Numbers of the workdays, the last day first."""
        return sorted(range(len(self.days)), key=lambda workday: -self.days[workday])

    @cached_property
    def _was(self) -> dict[int, int]:
        routes = enumerate(self.current or ())
        return {self._task(each): day for day, route in routes for each in route}

    @cached_property
    def _most(self) -> int:
        known = [empty_routes(self.board), *([self.current] if self.current else [])]
        return min(objective_cents(self.board, each) for each in known)

    def bettered(self, routes: Routes, moves: Iterable[Move]) -> Routes:
        """The routes after the move that gains most, or as they are."""
        gained, best = 0, None
        for move in moves:
            gain = self._gain(routes, move)
            if gain > gained:
                gained, best = gain, move
        if best is None:
            return routes
        after = tuple(best.get(day, route) for day, route in enumerate(routes))
        return after if objective_cents(self.board, after) <= self._most else routes

    def swaps(self, routes: Routes, late: int) -> Iterator[Move]:
        """One whole round against each earlier one that is less urgent."""
        for early, route in enumerate(routes):
            if self.days[early] < self.days[late] and self._urgency(route) < self._urgency(
                routes[late]
            ):
                there, here = self._fitted(routes[late], early), self._fitted(route, late)
                if there is not None and here is not None:
                    yield {early: there, late: here}

    def moves(self, routes: Routes, task: int) -> Iterator[Move]:
        """One stop into each earlier round, by itself or against a less urgent one there."""
        late = next(
            (day for day, route in enumerate(routes) if task in map(self._task, route)), None
        )
        if late is None:
            return
        at = [self._task(each) for each in routes[late]].index(task)
        without = _with(routes[late], at)
        earlier = {day for day in range(len(routes)) if self.days[day] < self.days[late]}
        saved = (self._bare(late, routes[late]) or 0) - (self._bare(late, without) or 0)
        for found in places(self.board, routes, task, earlier):
            # Clocks are looked at only where the way alone would leave something gained.
            gain = self.haste[task] * (self.days[late] - self.days[found.workday])
            gain += self.board.options[found.option].weight
            if found.cents < saved + gain:
                yield {found.workday: found.route, late: without}
        for early in earlier:
            yield from self._against(routes, task, (late, at), early)

    def _against(
        self, routes: Routes, task: int, where: tuple[int, int], early: int
    ) -> Iterator[Move]:
        late, at = where
        ours = self._fit(task, early)
        if ours is None:
            return
        saved = self._way(late, routes[late], at, routes[late][at])
        gain = self.haste[task] * (self.days[late] - self.days[early])
        for place, other in enumerate(routes[early]):
            theirs = self._fit(self._task(other), late)
            if theirs is None or self.haste[self._task(other)] >= self.haste[task]:
                continue
            longer = self._way(early, routes[early], place, ours) - saved
            longer += self._way(late, routes[late], at, theirs)
            longer -= self._way(early, routes[early], place, other)
            if longer < gain:
                yield {
                    early: _with(routes[early], place, ours),
                    late: _with(routes[late], at, theirs),
                }

    def _gain(self, routes: Routes, move: Move) -> int:
        gain = 0
        for day, route in move.items():
            was, becomes = self._cost(day, routes[day]), self._cost(day, route)
            if was is None or becomes is None:
                return 0
            gain += was - becomes
        return gain

    def _cost(self, workday: int, route: Route) -> int | None:
        """What a round costs and its days are worth, less what it brings; None: it cannot be."""
        bare = self._bare(workday, route)
        if bare is None:
            return None
        ahead = self.days[workday] - self.board.problem.days[0]
        return bare + ahead * self._urgency(route)

    def _bare(self, workday: int, route: Route) -> int | None:
        """The same with all days worth the same."""
        total = route_cents(self.board, workday, route)
        if total is None:
            return None
        weights = sum(self.board.options[number].weight for number in route)
        moved = sum(self._was.get(self._task(number), workday) != workday for number in route)
        return total - weights + moved_cents(self.board.problem.params, moved)

    def _task(self, option: int) -> int:
        return self.board.options[option].task

    def _urgency(self, route: Route) -> int:
        return sum(self.haste[self._task(number)] for number in route)

    def _fit(self, task: int, workday: int) -> int | None:
        """An option of a task on another workday."""
        options = self.board.options_of[task]
        return next((each for each in options if self.board.allowed[workday, each]), None)

    def _fitted(self, route: Route, workday: int) -> Route | None:
        found = [self._fit(self._task(number), workday) for number in route]
        fitting = tuple(number for number in found if number is not None)
        return fitting if len(fitting) == len(found) else None

    def _way(self, workday: int, route: Route, at: int, option: int) -> int:
        """Ways to and from an option where another stands in a route [cents]."""
        board, day = self.board, self.board.workdays[workday]
        before = board.place(route[at - 1]) if at else day.start
        after = board.place(route[at + 1]) if at + 1 < len(route) else day.end
        here = board.place(option)
        return board.cents[before][here] + board.cents[here][after]


def _with(route: Route, at: int, *options: int) -> Route:
    """A route with other options where one stood."""
    return (*route[:at], *options, *route[at + 1 :])
