"""Of rounds that could as well be on each other's days, the more urgent one goes first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date
from itertools import combinations

from schedules.engine import rounds as engine
from schedules.rounds.gathering import Gathered
from schedules.rounds.layout import LaidRound, Layout, Workday
from schedules.rounds.timed import (
    TimedRound,
    keys_in,
    laid_by,
    price,
    price_alone,
    timed,
    workday_of,
)

STOP_DAYS = 1000
"""A fan that must not run goes before any that is overdue; our choice."""
CENT = 0.01


def planned(gathered: Gathered, plan: engine.Plan) -> list[TimedRound]:
    """The planner's rounds with what a person fixed, the urgent ones first.

    Its own times hold where it planned a round just so.
    """
    layout = sooner(gathered, laid_by(gathered, plan))
    told = {workday_of(each): each for each in plan.rounds}
    found = []
    for each in price(gathered, layout):
        answer = told.get((each.laid.technician, each.laid.day.toordinal()))
        if answer and keys_in(answer) == keys_in(each.told):
            each = timed(gathered, each.laid, answer)
        found.append(each)
    return found


def sooner(gathered: Gathered, layout: Layout) -> Layout:
    """The layout with each technician's rounds in order of urgency, where that costs nothing.

    What is published or holds a fixed stop stays on its day.  A week's search weighs only whether
    something is done in it; people want what is overdue done first.
    """
    problem = gathered.problem((), iterations=0)
    for person in gathered.people:
        days = [day for day in gathered.clock.days if _is_free(gathered, layout, (person, day))]
        for early, late in _pairs(days):
            layout = _swapped(gathered, problem, layout, (person, early), (person, late))
    return layout


def _pairs(days: Sequence[date]) -> Iterator[tuple[date, date]]:
    """Each two days, as often as a bubble needs to rise."""
    for _ in days[1:]:
        yield from combinations(days, 2)


def _is_free(gathered: Gathered, layout: Layout, workday: Workday) -> bool:
    known = layout.rounds.get(workday)
    if known and (known.published or any(map(gathered.is_fixed, known.stops))):
        return False
    return gathered.may_go(workday)


def _swapped(
    gathered: Gathered, problem: engine.Problem, layout: Layout, early: Workday, late: Workday
) -> Layout:
    first, second = layout.rounds.get(early), layout.rounds.get(late)
    if _urgency(gathered, second) <= _urgency(gathered, first):
        return layout
    rounds = [replace(each, day=workday[1]) for each, workday in ((first, late), (second, early))
              if each]  # fmt: skip
    was = price_alone(gathered, problem, [each for each in (first, second) if each])
    becomes = price_alone(gathered, problem, rounds)
    if (becomes[0], becomes[1] - CENT) > was:
        return layout
    kept = (each for each in layout if each.workday not in (early, late))
    return Layout.of([*kept, *rounds])


def _urgency(gathered: Gathered, each: LaidRound | None) -> int:
    """Days that its most urgent work is overdue as the week begins; 0 for none."""
    monday = gathered.clock.monday.toordinal()
    known = gathered.due.works
    works = [known[w] for stop in (each.stops if each else ()) for w in stop.works if w in known]
    return max(
        (max(0, monday - work.overdue_after_day) + STOP_DAYS * work.is_stop for work in works),
        default=0,
    )
