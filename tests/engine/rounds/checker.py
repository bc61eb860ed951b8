"""Whether a plan can be walked, reckoned from the problem alone; nothing of the planner is used.

Written from the rules: within hours, shifts, skills; blockers and first days kept; each fan once;
ways, access, overtime and prizes summed anew.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from datetime import date

from schedules.engine.rounds import (
    DueFan,
    Plan,
    Problem,
    Round,
    RoundsParams,
    Shift,
    Site,
    Stop,
    Technician,
)

DAY = 1440
CENT = 0.011


def complaints(problem: Problem, plan: Plan) -> list[str]:
    """Everything wrong with a plan; an empty list is a plan that holds."""
    return [
        *_all_fans(problem, plan),
        *_sums(problem, plan),
        *(
            f"{each.technician}/{each.day}: {text}"
            for each in plan.rounds
            if not each.published
            for text in _round(problem, each)
        ),
        *_promises(problem, plan),
    ]


def fan_of(problem: Problem, key: int) -> DueFan:
    return next(fan for fan in problem.fans if fan.key == key)


def site_of(problem: Problem, key: int) -> Site:
    return next(site for site in problem.sites if site.key == key)


def technician_of(problem: Problem, key: int) -> Technician:
    return next(each for each in problem.technicians if each.key == key)


def next_monday(problem: Problem) -> int:
    return problem.days[0] + 7 if problem.next_day is None else problem.next_day


def is_due(problem: Problem, fan: DueFan) -> bool:
    """Due before the next plan, or overdue before anybody could come again."""
    again = fan.next_chance_day or next_monday(problem)
    return fan.due_day < next_monday(problem) or fan.overdue_after_day < again


def is_open(week: tuple, day: int, start: int, end: int, closed: frozenset[int]) -> bool:
    """Minute by minute: whether every minute from start to end lies in some span."""
    open_minutes: set[int] = set()
    for offset in (-1, 0, 1):
        if day + offset not in closed:
            for first, last in week[date.fromordinal(day + offset).weekday()]:
                open_minutes.update(range(first + offset * DAY, last + offset * DAY))
    return all(minute in open_minutes for minute in range(start, end))


def _all_fans(problem: Problem, plan: Plan) -> Iterator[str]:
    visited = Counter(
        key
        for each in plan.rounds
        for stop in each.stops
        for key in (*stop.fans, *stop.pulled_forward)
    )
    left = Counter(key for each in plan.left_out for key in each.fans)
    for key, times in (visited + left).items():
        if times > 1:
            yield f"fan {key} is told of {times} times"
    for fan in problem.fans:
        if is_due(problem, fan) and fan.key not in visited + left:
            yield f"fan {fan.key} is due and forgotten"
    if len({(each.technician, each.day) for each in plan.rounds}) < len(plan.rounds):
        yield "somebody has two rounds on a day"


def _sums(problem: Problem, plan: Plan) -> Iterator[str]:
    fans = {fan.key: fan for fan in problem.fans}
    prize = sum(fans[key].prize for each in plan.rounds for stop in each.stops for key in stop.fans)
    left = sum(fans[key].prize for each in plan.left_out for key in each.fans)
    cost = sum(each.cost for each in plan.rounds) + left
    told = (plan.prize_collected, plan.prize_left, plan.cost)
    for name, here, there in zip(("prize", "left", "cost"), (prize, left, cost), told, strict=True):
        if abs(here - there) > CENT:
            yield f"{name} is {there}, by hand {here}"
    if plan.objective > plan.objective_empty + CENT:
        yield "worse than nobody going"
    if plan.objective_current is not None and plan.objective > plan.objective_current + CENT:
        yield "worse than the current plan"


def _round(problem: Problem, told: Round) -> Iterator[str]:
    technician = technician_of(problem, told.technician)
    shift = next((each for each in technician.shifts if each.day == told.day), None)
    if shift is None or told.day not in problem.days:
        yield "no shift that day"
        return
    node, clock, minutes, metres, money = technician.start_node, told.leave, 0, 0.0, 0.0
    params, before = problem.params, None
    if clock < shift.start_minute:
        yield f"leaves at {clock}, before the shift"
    for stop in told.stops:
        site = site_of(problem, stop.site)
        stays = before == stop.site
        way = 0 if stays else _way(problem, node, site.node)
        far = 0.0 if stays else float(problem.travel.metres[node, site.node])
        access = 0 if stays else site.access_minutes
        if stop.arrive != clock + way or (stop.travel_minutes, stop.travel_m) != (way, far):
            yield f"site {stop.site}: the way there does not add up"
        yield from (
            f"site {stop.site}: {text}"
            for text in _stop(problem, technician, told.day, stop, access)
        )
        minutes, metres, money = (
            minutes + way,
            metres + far,
            money + _money(params, way + access, far),
        )
        node, clock, before = site.node, stop.leave, stop.site
    way, far = (
        _way(problem, node, technician.end_node),
        float(problem.travel.metres[node, technician.end_node]),
    )
    minutes, metres, money = minutes + way, metres + far, money + _money(params, way, far)
    if told.back != clock + way:
        yield f"back at {told.back}, by hand {clock + way}"
    yield from _day(shift, told, params.day_cost + money, params.overtime_hour_cost)
    if told.travel_minutes != minutes or abs(told.travel_m - metres) > 1e-6:
        yield "ways do not add up"
    if told.broken:
        yield f"says that it breaks {told.broken}"


def _day(shift: Shift, told: Round, money: float, overtime_hour_cost: float) -> Iterator[str]:
    lasts = told.back - told.leave
    regular = shift.end_minute - shift.start_minute - shift.reserve_minutes
    # The last minute of the shift but for what of the reserve was not yet free before the round.
    free_before = min(told.leave - shift.start_minute, shift.reserve_minutes)
    must_be_back = shift.end_minute - (shift.reserve_minutes - free_before)
    overtime = max(0, told.back - must_be_back)
    if overtime > shift.overtime_minutes:
        yield f"back at {told.back}, {overtime} min too late, allowed are {shift.overtime_minutes}"
    if told.back > shift.end_minute and not told.overtime_minutes:
        yield f"back at {told.back}, after the shift, without overtime"
    if told.overtime_minutes != overtime:
        yield f"overtime is {told.overtime_minutes}, by hand {overtime}"
    if told.free_minutes != max(0, regular - lasts):
        yield f"free is {told.free_minutes}, by hand {max(0, regular - lasts)}"
    by_hand = money + told.overtime_minutes * overtime_hour_cost / 60
    if abs(told.cost - by_hand) > 0.01 * (len(told.stops) + 2):
        yield f"costs {told.cost}, by hand {by_hand}"


def _stop(
    problem: Problem, technician: Technician, day: int, stop: Stop, access: int
) -> Iterator[str]:
    site = site_of(problem, stop.site)
    fans = [fan_of(problem, key) for key in (*stop.fans, *stop.pulled_forward)]
    if stop.start < stop.arrive:
        yield "begins before anybody is there"
    if stop.leave != stop.start + access + sum(fan.minutes for fan in fans):
        yield "access and work do not add up"
    if not is_open(site.access_hours, day, stop.start, stop.leave, site.closed_days):
        yield "outside access hours"
    for fan in fans:
        hours = site.stop_hours
        if (
            fan.stopped
            and hours is not None
            and not is_open(hours, day, stop.start + access, stop.leave, frozenset())
        ):
            yield f"fan {fan.key} cannot be stopped then"
        if {fan.skill, site.skill} - {""} - technician.skills:
            yield f"fan {fan.key} needs another skill"
        if fan.site != stop.site:
            yield f"fan {fan.key} stands elsewhere"
        if day < fan.not_before_day:
            yield f"fan {fan.key} may not be visited yet"
        for blocker in (*site.blockers, *fan.blockers):
            if blocker.until_day is None or day < blocker.until_day:
                yield f"fan {fan.key} is blocked by {blocker.kind}"
    if stop.broken:
        yield f"says that it breaks {stop.broken}"
    if any(is_due(problem, fan_of(problem, key)) for key in stop.pulled_forward):
        yield "calls a due fan pulled forward"
    if not all(is_due(problem, fan_of(problem, key)) for key in stop.fans):
        yield "calls a fan due that is not"


def _promises(problem: Problem, plan: Plan) -> Iterator[str]:
    """Published rounds and pinned stops are where they were."""
    for current in problem.current:
        same = [
            each
            for each in plan.rounds
            if (each.technician, each.day) == (current.technician, current.day)
        ]
        there = [
            key
            for each in same
            for stop in each.stops
            for key in (*stop.fans, *stop.pulled_forward)
        ]
        wanted = [key for stop in current.stops for key in stop.fans]
        if current.published and sorted(there) != sorted(wanted):
            yield f"published round {current.technician}/{current.day} has changed"
        left = {key for each in plan.left_out for key in each.fans}
        for stop in current.stops:
            if stop.pinned and not set(stop.fans) - left <= set(there):
                yield f"pinned stop at {stop.site} has moved"


def _way(problem: Problem, here: int, there: int) -> int:
    return math.ceil(problem.travel.minutes[here, there] - 1e-9)


def _money(params: RoundsParams, minutes: float, metres: float) -> float:
    return minutes * params.travel_hour_cost / 60 + metres / 1000 * params.km_cost
