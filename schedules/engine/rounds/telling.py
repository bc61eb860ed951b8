"""Routes by number turned into the answer, and rounds that a person laid told alike."""

from __future__ import annotations

from collections.abc import Iterable

from schedules.engine.rounds.answer import Broken, Round
from schedules.engine.rounds.board import Board
from schedules.engine.rounds.problem import CurrentRound, CurrentStop, DueFan, Problem, Technician
from schedules.engine.rounds.routes import Routes
from schedules.engine.rounds.sheet import Part, Sheet
from schedules.engine.rounds.tasks import held_on, hours_at, skills_of
from schedules.engine.rounds.timing import Route


def planned_rounds(board: Board, routes: Routes) -> list[Round]:
    """The rounds of a board, without days on which nobody goes."""
    sheet = Sheet(board.problem)
    technicians = {each.key: each for each in board.problem.technicians}
    return [
        sheet.round_of(technicians[day.technician], day.shift.day, _parts(board, route))
        for day, route in zip(board.workdays, routes, strict=True)
        if route
    ]


def price_rounds(problem: Problem, rounds: Iterable[CurrentRound]) -> tuple[Round, ...]:
    """Rounds as a person laid them, with their times, costs and whatever they break.

    Nothing is moved: a stop out of its hours is told as it would go, and that it breaks them.
    """
    sheet = Sheet(problem)
    technicians = {each.key: each for each in problem.technicians}
    fans = {fan.key: fan for fan in problem.fans}
    return tuple(
        sheet.round_of(
            technicians[each.technician],
            each.day,
            [
                _laid(problem, technicians[each.technician], each.day, stop, fans)
                for stop in each.stops
            ],
            published=each.published,
        )
        for each in rounds
    )


def _parts(board: Board, route: Route) -> list[Part]:
    parts = []
    for number in route:
        option = board.options[number]
        task = board.tasks[option.task]
        span = (option.opens - task.site.access_minutes, option.latest + option.minutes)
        parts.append(Part(task.site, task.fans, (span,), pinned=task.pinned_to is not None))
    return parts


def _laid(
    problem: Problem,
    technician: Technician,
    day: int,
    stop: CurrentStop,
    known: dict[int, DueFan],
) -> Part:
    fans = [known[key] for key in stop.fans]
    checks = {
        Broken.SKILL: any(not skills_of(problem, fan) <= technician.skills for fan in fans),
        Broken.BLOCKED: any(held_on(problem, fan, day) for fan in fans),
        Broken.TOO_EARLY: any(day < fan.not_before_day for fan in fans),
    }
    site = problem.site(stop.site)
    spans = hours_at(problem, site, day, stopped=any(fan.stopped for fan in fans))
    broken = tuple(which for which, holds in checks.items() if holds)
    return Part(site, tuple(fans), spans, stop.pinned, broken)
