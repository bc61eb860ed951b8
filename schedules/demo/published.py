"""The weeks behind the demo fleet as they were published: most came true, some did not, and why."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from random import Random
from typing import Any

from django.db.models import Prefetch

from fleet.models import Person
from schedules.demo.county import SCHOOLS
from schedules.due.bought import is_whole_look
from schedules.engine import walk_through
from schedules.engine.codes import CONDITIONS
from schedules.models import (
    DueState,
    PlannedRound,
    PlannedStop,
    PlanVersion,
    StopFan,
    StopReason,
    WeekPlan,
)
from schedules.office import office
from visits.models import Check, Visit

WEEKS = 13
PUBLISHED = time(15, 30)
"""On the Friday before."""
INTERVAL = timedelta(days=61 + 14)
"""From one walk-through until the next is overdue, as most of these fans have it."""
STOP_MINUTES, WAY_MINUTES = 45, 20
BESIDE, LATE = 0.08, 0.12
"""Shares of visits that no plan held, and that came a day after it."""
NO_WAY = ("no_access", "gate locked, nobody answered the bell")
IN_VAIN = (("weather", "lightning"), ("no_time", ""), None, ("unsafe", "ice on the ladder"), None)
"""What is said of the stops that were not made; None where nobody said anything."""
DAY, WEEK = timedelta(days=1), timedelta(days=7)


@dataclass
class _Stop:
    """A stop to be planned: where, for which fans with the day after which each is overdue."""

    site: int
    minute: int
    fans: dict[int, date] = field(default_factory=dict)
    why_not: tuple[str, str] | None = None


Rounds = dict[tuple[int, date], list[_Stop]]


def publish_past_weeks(*, now: datetime) -> int:
    """Publish what was planned for the weeks behind ``now``; how many stops.  None where done."""
    zone = office().zone
    today = now.astimezone(zone).date()
    monday = today - DAY * today.weekday()
    dispatcher = Person.objects.filter(role=Person.Role.DISPATCHER).order_by("pk").first()
    if dispatcher is None or WeekPlan.objects.exists():
        return 0
    looks, made = _looks(), 0
    left = list(_left(monday))
    for back in range(WEEKS, 0, -1):
        first = monday - WEEK * back
        rng = Random(f"promises {back}")  # noqa: S311  # a landscape, no secret
        rounds = _came_true(first, looks, rng)
        _in_vain(rounds, left, back)
        at = datetime.combine(first - 3 * DAY, PUBLISHED, zone)
        made += _publish(first, rounds, at, dispatcher)
    return made


def _looks() -> Mapping[int, Sequence[date]]:
    found: dict[int, list[date]] = defaultdict(list)
    rows = Check.objects.filter(stage="as_found").order_by("visit__local_on")
    for fan, on in rows.values_list("fan", "visit__local_on"):
        found[fan].append(on)
    return found


def _left(monday: date) -> Iterable[tuple[int, dict[int, date]]]:
    """Sites with fans that have been overdue for weeks, and those fans; schools' left out."""
    rows = DueState.objects.filter(overdue_after__lt=monday - WEEK * 2, made_safe_on=None)
    rows = rows.exclude(owner__name=SCHOOLS).exclude(fan__checks=None)
    by_site: dict[int, dict[int, date]] = defaultdict(dict)
    for site, fan, over in rows.order_by("site", "fan").values_list("site", "fan", "overdue_after"):
        by_site[site][fan] = over or monday
    return by_site.items()


def _came_true(first: date, looks: Mapping[int, Sequence[date]], rng: Random) -> Rounds:
    """A round for each technician's day with visits, a few left out or planned a day sooner."""
    visits = Visit.objects.standing().filter(
        local_on__range=(first, first + 6 * DAY), technician__isnull=False
    )
    rounds: Rounds = defaultdict(list)
    whole = Prefetch("checks", Check.objects.filter(is_whole_look(), stage="as_found"))
    for visit in visits.prefetch_related(whole, "not_reached").order_by("began_at", "pk"):
        fans = {each.fan_id for each in visit.checks.all()}
        fans |= {each.fan_id for each in visit.not_reached.all() if not each.item}
        chance = rng.random()
        if not fans or chance < BESIDE:
            continue
        on = visit.local_on
        if chance < BESIDE + LATE and on > first:
            on -= DAY
        over = {fan: _overdue(looks.get(fan, ()), visit.local_on) for fan in sorted(fans)}
        stop = _Stop(visit.site_id, visit.local_minute or 480, over)
        rounds[visit.technician_id or 0, on].append(stop)
    return rounds


def _overdue(looks: Sequence[date], on: date) -> date:
    before = [day for day in looks if day < on]
    return before[-1] + INTERVAL if before else on + WEEK


def _in_vain(rounds: Rounds, left: Sequence[tuple[int, dict[int, date]]], back: int) -> None:
    """Stops of the last weeks that nobody made; to the first of these roofs there was no way."""
    if not rounds or back > 2:
        return
    days = sorted(rounds, key=lambda each: (each[1], each[0]))
    for at, (site, fans) in enumerate(left[:3]):
        if any(stop.site == site for stops in rounds.values() for stop in stops):
            continue
        why_not = NO_WAY if at == 0 else IN_VAIN[(at + back) % len(IN_VAIN)]
        rounds[days[(at * 2) % len(days)]].append(_Stop(site, 840 + at, fans, why_not))


def _publish(first: date, rounds: Rounds, at: datetime, by: Person) -> int:
    plan = WeekPlan.objects.create(monday=first)
    version = PlanVersion.objects.create(plan=plan, number=1, published_at=at, published_by=by)
    for (technician, day), stops in sorted(rounds.items(), key=lambda each: each[0][::-1]):
        row = PlannedRound.objects.create(
            version=version, technician_id=technician, day=day, published=True,
            leave_minute=max(0, min(each.minute for each in stops) - WAY_MINUTES),
            back_minute=max(each.minute for each in stops) + STOP_MINUTES + WAY_MINUTES,
            travel_minutes=WAY_MINUTES * (len(stops) + 1), travel_m=9000.0 * (len(stops) + 1),
        )  # fmt: skip
        for position, stop in enumerate(sorted(stops, key=lambda each: each.minute), 1):
            _lay_stop(row, position, stop, at)
    return sum(map(len, rounds.values()))


def _lay_stop(row: PlannedRound, position: int, stop: _Stop, at: datetime) -> None:
    made = PlannedStop.objects.create(
        round=row, site_id=stop.site, position=position, arrive_minute=stop.minute,
        start_minute=stop.minute, leave_minute=stop.minute + STOP_MINUTES,
        work_minutes=STOP_MINUTES, travel_minutes=WAY_MINUTES, travel_m=9000.0, why="overdue",
    )  # fmt: skip
    StopFan.objects.bulk_create(
        StopFan(stop=made, fan_id=fan, rules=[walk_through.number], rule_args=_args(over),
                made_necessary=number == 0)
        for number, (fan, over) in enumerate(stop.fans.items())
    )  # fmt: skip
    if stop.why_not:
        reason, note = stop.why_not
        said_at = datetime.combine(row.day, time(17), at.tzinfo)
        StopReason.objects.create(stop=made, on=row.day, reason=reason, note=note,
                                  given_at=said_at, given_by=row.technician)  # fmt: skip


def _args(over: date) -> dict[str, Any]:
    due, last = over - timedelta(days=14), over - INTERVAL
    numbers = {"last_day": last.toordinal(), "base_months": 2, "months": 2,
               "condition": CONDITIONS.index("average"), "reliability": 1}  # fmt: skip
    return {"why": "interval", "due_day": due.toordinal(), "overdue_after_day": over.toordinal(),
            "numbers": numbers}  # fmt: skip
