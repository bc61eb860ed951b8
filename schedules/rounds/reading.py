"""The rows that planning a week asks for, in a number of queries that does not grow."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from django.db.models import Q

from fleet.models import Blocker, DaysOff, Person, Site, technicians
from schedules.due.answers import read_answer
from schedules.due.bought import beyond_bought
from schedules.due.local_days import days_at
from schedules.due.odds import Figures, odds_of, read_figures
from schedules.due.waiting import chances_of, params_of
from schedules.engine import inspection
from schedules.engine.waiting import DEFAULT_WAITING
from schedules.models import DRAFT, Booking, DueState, PlannedRound, StopFan
from schedules.rounds.blockers import blockers_of
from schedules.rounds.clocks import WeekClock
from schedules.rounds.work import Wanted, Work, works_of


@dataclass(frozen=True)
class Due:
    """Work by what names it, and what waiting is expected to cost."""

    works: Mapping[Wanted, Work]
    prizes: Mapping[Wanted, float]


def read_due(clock: WeekClock, soon_days: int, planned: Collection[Wanted]) -> Due:
    """What falls due before the next week, or within ``soon_days`` after, and what is planned.

    What is booked to be done before this week is not due in it.
    """
    next_day = clock.next_monday.toordinal()
    planned_fans = {fan for fan, _ in planned}
    until = clock.next_monday + timedelta(days=soon_days)
    rows = DueState.objects.filter(Q(due_on__lt=until) | Q(fan__in=planned_fans))
    states = list(rows.select_related("fan", "site").order_by("fan_id"))
    days = days_at(clock.now, {state.site.time_zone for state in states})
    waiting = {fan for fan, told in beyond_bought(states, days).items() if not told.is_agreed}
    works: dict[Wanted, Work] = {}
    for state in states:
        dates = read_answer(state.dates)[0]
        last_day = 2**30 if state.fan_id in planned_fans else until.toordinal()
        for work in works_of(state.fan_id, state.site_id, dates, next_day, last_day):
            if work.due_day < until.toordinal() or work.wanted in planned:
                works[work.wanted] = _marked(work, state, needs_yes=state.fan_id in waiting)
    for wanted in _booked_before(clock) - set(planned):
        works.pop(wanted, None)
    return Due(works, _prizes(states, works.values()))


def _booked_before(clock: WeekClock) -> set[Wanted]:
    """Work for which a published plan has somebody coming between today and this week."""
    rows = StopFan.objects.filter(
        stop__round__version__number__gt=DRAFT,
        stop__booking__withdrawn_at=None,
        stop__booking__day__gte=clock.today,
        stop__booking__day__lt=clock.monday,
    )
    return set(rows.order_by().values_list("fan", "skill"))


def _marked(work: Work, state: DueState, *, needs_yes: bool) -> Work:
    held = state.not_before if work.rules == (1,) else None
    day = held.toordinal() if held else 0
    return replace(work, not_before_day=day, needs_yes=needs_yes)


def _prizes(states: Sequence[DueState], works: Collection[Work]) -> Mapping[Wanted, float]:
    """What waiting for the next realistic visit is expected to cost, by work [money]."""
    by_fan = {state.fan_id: state for state in states}
    figures = read_figures()
    chance = chances_of(odds_of(by_fan), figures, DEFAULT_WAITING.weeks_without_a_day)
    return {
        work.wanted: _prize(work, by_fan[work.fan].site, chance.get(work.fan, 0.0), figures)
        for work in works
    }


def _prize(work: Work, site: Site, chance: float, figures: Figures) -> float:
    params = params_of(site, figures)[0]
    closed = params.closed_hours * params.closed_hour_cost
    if work.is_stop:
        # no odds: its kitchen is closed until somebody came
        return closed
    lapsed = params.lapsed_week_cost * params.weeks_without_a_day
    inspects = inspection.number in work.rules
    return chance * params.preventable_share * closed + lapsed * inspects


@dataclass(frozen=True)
class Crew:
    """Technicians who can be sent, who cannot for want of a base and hours, and who is off when.

    Under None are the days on which everybody is.
    """

    people: Sequence[Person]
    without_week: Sequence[Person]
    off: Mapping[int | None, Sequence[DaysOff]]

    def is_off(self, person: int, day: date) -> bool:
        """Whether a technician has leave that day, or everybody has."""
        return self.leave_of(person, day) is not None

    def leave_of(self, person: int | None, day: date) -> DaysOff | None:
        """Why somebody (None: everybody) does not work that day; None if they do.

        What holds for everybody comes first.
        """
        told = (*self.off.get(None, ()), *self.off.get(person, ()))
        return next((each for each in told if each.first_on <= day <= each.last_on), None)


def read_crew(clock: WeekClock) -> Crew:
    """All active technicians."""
    people = list(technicians().select_related("working_week").order_by("last_name", "pk"))
    off: dict[int | None, list[DaysOff]] = defaultdict(list)
    week = clock.week
    for each in DaysOff.objects.filter(last_on__gte=week[0], first_on__lte=week[-1]):
        off[each.technician_id].append(each)
    ready = [person for person in people if hasattr(person, "working_week")]
    return Crew(ready, [person for person in people if person not in ready], off)


def read_left(clock: WeekClock) -> Sequence[Person]:
    """Who had rounds in the week or the four before it and is no active technician any more."""
    week = clock.week
    rounds = PlannedRound.objects.filter(day__range=(week[0] - timedelta(days=28), week[-1]))
    people = Person.objects.filter(pk__in=rounds.order_by().values("technician"))
    return list(people.exclude(pk__in=technicians()).order_by("last_name", "pk"))


def read_people(person_ids: Collection[int]) -> Sequence[Person]:
    """People by id, whether they can be sent or not; no query for none."""
    if not person_ids:
        return []
    return list(Person.objects.filter(pk__in=person_ids).select_related("working_week"))


def read_sites(site_ids: Collection[int]) -> Mapping[int, Site]:
    """Sites by id."""
    return Site.objects.select_related("owner").in_bulk(site_ids)


def read_blockers(clock: WeekClock) -> Sequence[Blocker]:
    """Those that hold on a day of the week, or end on its first."""
    week = clock.week
    return blockers_of(week[0] - timedelta(days=1), week[-1])


def read_bookings(clock: WeekClock) -> Sequence[Booking]:
    """Standing ones of the week, in order."""
    week = clock.week
    rows = Booking.objects.standing().filter(day__range=(week[0], week[-1]))
    return list(rows.select_related("technician", "site").order_by("day", "from_minute", "id"))
