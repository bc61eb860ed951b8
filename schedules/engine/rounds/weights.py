"""What a task is worth to the plan: the cost of waiting, and far more where it must not wait."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from schedules.engine.rounds.problem import Problem
from schedules.engine.rounds.tasks import Task, is_due, is_required
from schedules.engine.rounds.workdays import Workday

MOST_WEEKS = 8
PINNED_TIMES = 16


@dataclass(frozen=True, slots=True)
class Weights:
    """A required task is worth more than any trip and all that one day's round could do instead.

    So nothing optional and no cost keeps a required one out, while the plan stays comparable with
    one that leaves some out: that is how overload comes to light instead of failing.  Each week
    past its last day counts again, so that of too many required ones none waits for ever.
    """

    required: int
    problem: Problem

    @staticmethod
    def of(
        problem: Problem,
        tasks: Sequence[Task],
        workdays: Sequence[Workday],
        bases: Sequence[int],
        roads: NDArray[np.int64],
    ) -> Weights:
        """Reckoned from the dearest trip and the fullest day of this problem."""
        params = problem.params
        longest = max((workday.shift.longest_minutes for workday in workdays), default=0)
        overtime = max((workday.shift.overtime_minutes for workday in workdays), default=0)
        nodes = [task.site.node for task in tasks]
        way = 0.0
        for base in bases:
            minutes = roads[base, nodes] + roads[nodes, base]
            metres = problem.travel.metres[base, nodes] + problem.travel.metres[nodes, base]
            trips = minutes * params.travel_hour_cost / 60 + metres * params.km_cost / 1000
            way = max(way, float(trips.max(initial=0)))
        access = max((task.site.access_minutes for task in tasks), default=0)
        trip = way + access * params.travel_hour_cost / 60 + params.day_cost
        trip += overtime * params.overtime_hour_cost / 60
        due = [task for task in tasks if not task.soon_week]
        money = trip + _fullest_day(due, longest)
        return Weights(round(money * 100) + 1, problem)

    def of_task(self, task: Task, late: bool) -> int:
        """Cents; ``late`` where a fan of it would be overdue by the day it is done."""
        if task.soon_week:
            return 0
        due = [fan for fan in task.fans if is_due(self.problem, fan)]
        prize = round(sum(fan.prize for fan in due) * 100)
        if task.pinned_to is not None:
            return self.required * PINNED_TIMES + prize
        if not is_required(self.problem, task):
            return prize
        weeks = max(0, self.problem.days[0] - task.latest_day + 6) // 7
        weight = self.required * (1 + min(weeks, MOST_WEEKS))
        return weight // 2 + prize if late else weight + prize


def _fullest_day(tasks: Sequence[Task], minutes: int) -> float:
    """The most that the prizes of one day's work could come to, ways left out."""
    left, total = float(minutes), 0.0
    for task in sorted(tasks, key=lambda task: task.prize / max(task.minutes, 1), reverse=True):
        if left <= 0:
            break
        share = min(1.0, left / max(task.minutes, 1))
        total += task.prize * share
        left -= task.minutes
    return total
