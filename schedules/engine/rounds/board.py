"""The week laid out by number: tasks, the options to do each, workdays, and the ways between.

An *option* is one span of hours in which a task may be done, with the days on which it is open:
most tasks have one, a site whose Fridays are shorter gives two.  All sums are whole minutes and
whole cents, so that what is reckoned here and in the solver is the same to the digit.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from schedules.engine.rounds.prices import way_cents
from schedules.engine.rounds.problem import Problem
from schedules.engine.rounds.tasks import Task, due_tasks, is_required, pinned_tasks, soon_tasks
from schedules.engine.rounds.weights import Weights
from schedules.engine.rounds.workdays import Workday, bases_of, workdays_of

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Option:
    """One way to do a task: work begins from ``opens`` to ``latest``, access lies before."""

    task: int
    opens: int
    latest: int
    minutes: int
    days: frozenset[int]
    weight: int
    """What doing it so is worth [cents]."""


@dataclass(frozen=True, eq=False)
class Board:
    """The week by number; options stand in the legs behind ``bases``."""

    problem: Problem
    tasks: tuple[Task, ...]
    options: tuple[Option, ...]
    workdays: tuple[Workday, ...]
    bases: tuple[int, ...]
    leg_minutes: Ints
    leg_cents: Ints
    allowed: Bools
    """Shape (workdays, options): who may do it, and when."""

    @cached_property
    def minutes(self) -> list[list[int]]:
        """The legs as lists, which plain loops read faster."""
        found: list[list[int]] = self.leg_minutes.tolist()
        return found

    @cached_property
    def cents(self) -> list[list[int]]:
        """What the legs cost, as lists."""
        found: list[list[int]] = self.leg_cents.tolist()
        return found

    @cached_property
    def options_of(self) -> list[list[int]]:
        """Options by task."""
        found: list[list[int]] = [[] for _ in self.tasks]
        for number, option in enumerate(self.options):
            found[option.task].append(number)
        return found

    @cached_property
    def worth(self) -> list[int]:
        """The most that each task can bring [cents]; 0 without an option."""
        return [
            max((self.options[number].weight for number in numbers), default=0)
            for numbers in self.options_of
        ]

    @cached_property
    def due(self) -> list[int]:
        """Tasks that are due or pinned, as against those that may be pulled forward."""
        return [number for number, task in enumerate(self.tasks) if not task.soon_week]

    def place(self, option: int) -> int:
        """Where an option stands in the legs."""
        return len(self.bases) + option


def lay_out(problem: Problem) -> Board:
    """All that is due, and what may be pulled forward, with everything needed to plan it."""
    bases, workdays = bases_of(problem), workdays_of(problem)
    roads = problem.travel.roads
    due = due_tasks(problem, lambda task: _room(problem, task, workdays, bases, roads))
    pinned = pinned_tasks(problem)
    # Nobody goes for what is due soon alone.
    gone_to = {task.site.key for task in (*pinned, *due)}
    soon = (task for task in soon_tasks(problem) if task.site.key in gone_to)
    tasks = (*pinned, *due, *soon)
    weights = Weights.of(problem, tasks, workdays, bases, roads)
    options = tuple(
        option
        for number, task in enumerate(tasks)
        for option in _options(problem, number, task, weights)
    )
    return _with_legs(problem, tasks, options, workdays, bases, roads)


def _options(problem: Problem, number: int, task: Task, weights: Weights) -> list[Option]:
    days_of: dict[tuple[int, int, bool], set[int]] = defaultdict(set)
    required = is_required(problem, task) and not task.soon_week
    for day in problem.days:
        late = required and task.latest_day < day and task.latest_day >= problem.days[0]
        for opens, closes in task.hours(problem, day):
            first, last = opens + task.site.access_minutes, closes - task.minutes
            if first <= last:
                days_of[first, last, late].add(day)
    return [
        Option(number, first, last, task.minutes, frozenset(days), weights.of_task(task, late))
        for (first, last, late), days in days_of.items()
    ]


def _room(
    problem: Problem, task: Task, workdays: tuple[Workday, ...], bases: tuple[int, ...], roads: Ints
) -> int:
    """The longest work at a task's site for which some shift and its hours have room [min]."""
    node, access = task.site.node, task.site.access_minutes
    most = 0
    for workday in workdays:
        if task.skills <= workday.skills:
            shift = workday.shift
            there, back = (
                int(roads[bases[workday.start], node]),
                int(roads[node, bases[workday.end]]),
            )
            first, last = shift.start_minute + there, shift.latest_minute - back
            spans = (
                min(last, closes) - max(first, opens)
                for opens, closes in task.hours(problem, shift.day)
            )
            longest = min(shift.longest_minutes - there - back, max(spans, default=0))
            most = max(most, longest - access)
    return most if most > 0 else task.minutes


def _with_legs(
    problem: Problem,
    tasks: tuple[Task, ...],
    options: tuple[Option, ...],
    workdays: tuple[Workday, ...],
    bases: tuple[int, ...],
    roads: Ints,
) -> Board:
    sites = [tasks[option.task].site for option in options]
    nodes = np.array([*bases, *(site.node for site in sites)], np.intp)
    keys = np.array([*(-1 - number for number in range(len(bases))), *(s.key for s in sites)])
    access = np.array([*(0 for _ in bases), *(site.access_minutes for site in sites)], np.int64)
    elsewhere = keys[:, None] != keys[None]
    minutes = (roads[np.ix_(nodes, nodes)] + access[None]) * elsewhere
    metres = problem.travel.metres[np.ix_(nodes, nodes)] * elsewhere
    cents = way_cents(problem.params, minutes, metres)
    allowed = np.array(
        [[_may(workday, tasks[option.task], option) for option in options] for workday in workdays],
        np.bool_,
    ).reshape(len(workdays), len(options))
    return Board(problem, tasks, options, workdays, bases, minutes, cents, allowed)


def _may(workday: Workday, task: Task, option: Option) -> bool:
    day = workday.shift.day
    at = (workday.technician, day)
    return (
        day in option.days
        and task.skills <= workday.skills
        and (task.pinned_to is None or task.pinned_to == at)
    )
