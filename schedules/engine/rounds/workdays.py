"""Technicians by day, and the bases from which they set out."""

from __future__ import annotations

from dataclasses import dataclass

from schedules.engine.rounds.problem import Problem, Shift


@dataclass(frozen=True, slots=True)
class Workday:
    """A technician on a day; ``start`` and ``end`` are places among the bases."""

    technician: int
    shift: Shift
    skills: frozenset[str]
    start: int
    end: int


def bases_of(problem: Problem) -> tuple[int, ...]:
    """Nodes at which rounds begin or end."""
    nodes = {node for each in problem.technicians for node in (each.start_node, each.end_node)}
    return tuple(sorted(nodes))


def workdays_of(problem: Problem) -> tuple[Workday, ...]:
    """Every shift of the week for which no round is published."""
    published = {(each.technician, each.day) for each in problem.current if each.published}
    bases, days = bases_of(problem), set(problem.days)
    return tuple(
        Workday(
            technician.key,
            shift,
            technician.skills,
            bases.index(technician.start_node),
            bases.index(technician.end_node),
        )
        for technician in problem.technicians
        for shift in technician.shifts
        if shift.day in days and (technician.key, shift.day) not in published
    )
