"""Why a due fan is in no round: each reason is tried, none is guessed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from schedules.engine.rounds.answer import LeftOut, Reason
from schedules.engine.rounds.board import Board
from schedules.engine.rounds.problem import DueFan, Problem, Shift, Technician
from schedules.engine.rounds.routes import Insertion, Routes, cheapest, cheapest_way
from schedules.engine.rounds.tasks import (
    Task,
    fans_bound,
    held_on,
    is_due,
    is_last_chance,
    is_required,
    may_come,
)
from schedules.engine.rounds.timing import times_of


def left_out(board: Board, routes: Routes, undone: Iterable[int]) -> tuple[LeftOut, ...]:
    """Due fans that no round visits, by site and reason; those that a person pinned too."""
    cases = (_Case(board, board.tasks[number], number) for number in sorted(undone))
    return (*_held_back(board.problem), *(case.why(routes) for case in cases))


@dataclass(frozen=True, slots=True)
class _Case:
    """One task that is not done, tried against less and less."""

    board: Board
    task: Task
    number: int

    def why(self, routes: Routes) -> LeftOut:
        """Why the task is not done: the first reason that holds, from the plainest on."""
        skilled = list(self._skilled())
        if not skilled:
            return self._told(self._no_skill(), names=tuple(sorted(self.task.skills)))
        if not any(self._open_long_enough(day) for day in self.board.problem.days):
            return self._told(Reason.NO_HOURS, needed=self._work)
        if not any(self._fits(*each) for each in skilled):
            trip = min(self._trip(technician) for technician, _ in skilled)
            longest = max(shift.longest_minutes for _, shift in skilled)
            reason = Reason.TOO_FAR if trip > longest else Reason.HOURS_MISS_SHIFTS
            return self._told(reason, needed=trip, free=longest)
        room = cheapest(self.board, routes, self.number)
        # Where there is no room: were time no matter.
        cents = room.cents if room else cheapest_way(self.board, routes, self.number)
        if cents is not None and cents >= self.board.worth[self.number]:
            return self._told(Reason.COSTS_MORE, cost=cents / 100)
        if room is not None:
            return self._room(room)
        return self._told(Reason.FULL, needed=self._work, free=self._most_free(routes))

    @property
    def _work(self) -> int:
        return self.task.site.access_minutes + self.task.minutes

    def _skilled(self) -> Iterator[tuple[Technician, Shift]]:
        """Shifts of those who may do it, on days on which it may be done."""
        for technician in self.board.problem.technicians:
            if self.task.skills <= technician.skills:
                for shift in technician.shifts:
                    at = (technician.key, shift.day)
                    tied = self.task.pinned_to in (None, at)
                    if tied and shift.day >= self.task.first_day and self._planned(shift.day):
                        yield technician, shift

    def _planned(self, day: int) -> bool:
        return day in self.board.problem.days

    def _no_skill(self) -> Reason:
        technicians = self.board.problem.technicians
        has = any(self.task.skills <= technician.skills for technician in technicians)
        return Reason.SKILLED_AWAY if has else Reason.NOBODY_SKILLED

    def _open_long_enough(self, day: int) -> bool:
        return any(
            closes - opens >= self._work
            for opens, closes in self.task.hours(self.board.problem, day)
        )

    def _ways(self, technician: Technician) -> tuple[int, int]:
        roads, node = self.board.problem.travel.roads, self.task.site.node
        return int(roads[technician.start_node, node]), int(roads[node, technician.end_node])

    def _trip(self, technician: Technician) -> int:
        return sum(self._ways(technician)) + self._work

    def _fits(self, technician: Technician, shift: Shift) -> bool:
        """Whether it could be a round of its own."""
        there, back = self._ways(technician)
        ends = (
            max(shift.start_minute + there, opens) + self._work
            for opens, closes in self.task.hours(self.board.problem, shift.day)
            if max(shift.start_minute + there, opens) + self._work <= closes
        )
        longest = self._trip(technician) <= shift.longest_minutes
        return longest and any(end + back <= shift.latest_minute for end in ends)

    def _room(self, found: Insertion) -> LeftOut:
        workday = self.board.workdays[found.workday]
        told = self._told(Reason.ROOM, cost=found.cents / 100)
        return replace(told, technician=workday.technician, day=workday.shift.day)

    def _most_free(self, routes: Routes) -> int:
        free = [0]
        for number, workday in enumerate(self.board.workdays):
            if self.board.allowed[number, self.board.options_of[self.number]].any():
                times = times_of(self.board, number, routes[number])
                if times is not None:
                    free.append(workday.shift.longest_minutes - times.minutes)
        return max(free)

    def _told(
        self,
        reason: Reason,
        *,
        names: tuple[str, ...] = (),
        cost: float | None = None,
        needed: int | None = None,
        free: int | None = None,
    ) -> LeftOut:
        fans = tuple(fan.key for fan in self.task.fans)
        required = is_required(self.board.problem, self.task)
        return LeftOut(
            self.task.site.key, fans, reason, required, self.task.prize, names, cost, needed, free
        )


def _held_back(problem: Problem) -> Iterator[LeftOut]:
    """Fans that never came to be tasks: blocked, or not to be visited yet."""
    bound = fans_bound(problem)
    published = {
        key
        for current in problem.current
        if current.published
        for stop in current.stops
        for key in stop.fans
    }
    groups: dict[tuple[int, tuple[str, ...]], list[DueFan]] = defaultdict(list)
    for fan in problem.fans:
        wanted = fan.key in bound or is_due(problem, fan)
        if wanted and fan.key not in published and not may_come(problem, fan):
            groups[fan.site, held_on(problem, fan, problem.days[-1])].append(fan)
    for (site, names), fans in groups.items():
        yield LeftOut(
            site,
            tuple(fan.key for fan in fans),
            Reason.BLOCKED if names else Reason.NOT_YET,
            required=any(is_last_chance(problem, fan) for fan in fans),
            prize=sum(fan.prize for fan in fans),
            names=names,
        )
