"""All that planning a week rests on, gathered once, and the problem that the planner is given."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cached_property
from typing import Any
from uuid import UUID

from fleet.models import Blocker, Person, Site
from schedules.engine import rounds as engine
from schedules.engine.rounds.hours import ALWAYS, DAY_MINUTES, Week
from schedules.models import Booking
from schedules.office import office
from schedules.rounds.clocks import WeekClock, shifted
from schedules.rounds.errors import WeekPlanError
from schedules.rounds.layout import LaidStop, Layout, Workday
from schedules.rounds.qualified import is_lift_of_week
from schedules.rounds.reading import (
    Crew,
    Due,
    read_blockers,
    read_bookings,
    read_crew,
    read_due,
    read_people,
    read_sites,
)
from schedules.rounds.ways.known import KnownWays, read_known
from schedules.rounds.ways.places import BASE, SITE, positions_of
from schedules.rounds.work import DEFAULT_WORK, LIFT, Wanted, Work
from schedules.wording.days import day_text

PARAMS = engine.RoundsParams()
OWNERS_YES = "owners_yes"
BEYOND_WORKS = 2**57
"""Numbers of stops follow from their keys, so that they stay from one layout to the next."""


def clock_of(monday: date, now: datetime) -> WeekClock:
    """The week by the office's clock; one query."""
    return WeekClock(monday, office().zone, now)


@dataclass(frozen=True)
class Gathered:
    """A week's rows by id.  ``keys`` are the planner's numbers.

    ``unplaced`` are sites with work and without coordinates, which nobody can be routed to.
    """

    clock: WeekClock
    due: Due
    crew: Crew
    sites: Mapping[int, Site]
    blockers: Sequence[Blocker]
    bookings: Mapping[UUID, Booking]
    layout: Layout
    others: Sequence[Person] = ()
    """Who is in the layout and cannot be sent any more."""
    held: frozenset[UUID] = frozenset()
    """Stops of rounds already published whose days may be filled up, but not without them."""
    not_wanted: frozenset[Wanted] = frozenset()
    """Work that is left out as long as no stop ahead is for it."""
    ways: KnownWays = field(default_factory=KnownWays)

    @cached_property
    def unplaced(self) -> list[Site]:
        return [site for site in self.sites.values() if site.latitude is None]

    @cached_property
    def people(self) -> Mapping[int, Person]:
        return {person.pk: person for person in (*self.crew.people, *self.others)}

    @cached_property
    def keys(self) -> Mapping[Wanted | UUID, int]:
        """The planner's numbers for works, and for stops with minutes of their own."""
        names: list[Wanted | UUID] = [*sorted(self.due.works)]
        numbers = [*range(1, len(names) + 1)]
        for _, stop in self.layout.stops:
            names.append(stop.key)
            numbers.append(BEYOND_WORKS + (stop.key.int >> 72))
        return dict(zip(names, numbers, strict=True))

    @cached_property
    def names(self) -> Mapping[int, Wanted | UUID]:
        """What the planner's numbers stand for."""
        return {number: name for name, number in self.keys.items()}

    def extra_minutes(self, stop: LaidStop) -> int:
        """Minutes of a stop beside its fans' work; some where that is all gone."""
        if stop.extra_minutes or any(wanted in self.due.works for wanted in stop.works):
            return stop.extra_minutes
        return round(DEFAULT_WORK.booked_without_hours)

    def fans_of(self, stop: LaidStop) -> list[tuple[int, ...]]:
        """A stop's work as the planner's numbers, in order, what needs the fan stopped apart."""
        groups: dict[bool, list[int]] = defaultdict(list)
        for wanted in stop.works:
            if wanted in self.due.works:
                groups[self.due.works[wanted].stopped].append(self.keys[wanted])
        if self.extra_minutes(stop):
            groups[False].append(self.keys[stop.key])
        return [tuple(group) for group in groups.values()]

    def is_fixed(self, stop: LaidStop) -> bool:
        """Whether planning leaves it with its technician and day."""
        return stop.pinned or stop.keeps_hours or stop.key in self.held

    def may_go(self, workday: Workday) -> bool:
        """Whether a technician works that day."""
        person = self.people.get(workday[0])
        return person is not None and self._shift(person, workday[1]) is not None

    def skills_needed(self, stop: LaidStop) -> frozenset[str]:
        """What whoever goes there must be recorded as qualified for."""
        lift = {LIFT} if self._has_lift(stop.site) else set()
        return frozenset({skill for _, skill in stop.works if skill} | lift)

    def _has_lift(self, site: int) -> bool:
        lifts = (each for each in self.blockers if is_lift_of_week(each, self.clock.monday))
        return any(each.site_id == site for each in lifts)

    def skills_of(self, technician: int) -> frozenset[str]:
        """What somebody is recorded as qualified for."""
        return frozenset(self.people[technician].qualified_for)

    def current(self, layout: Layout, days: Collection[date]) -> list[engine.CurrentRound]:
        """The rounds of these days as the planner is told them."""
        return [
            engine.CurrentRound(
                each.technician,
                each.day.toordinal(),
                tuple(
                    engine.CurrentStop(stop.site, fans, self.is_fixed(stop))
                    for stop in each.stops
                    if stop.site in self._placed
                    for fans in self.fans_of(stop)
                ),
                each.published and not self.held.intersection(stop.key for stop in each.stops),
            )
            for each in layout
            if each.day in days and each.technician in self.people
        ]

    def problem(self, current: Sequence[engine.CurrentRound], **search: Any) -> engine.Problem:
        """The week to plan; ``search`` is as of ``Problem``.  Unplaced sites are left out."""
        nodes = {key: node for node, key in enumerate(self._placed)}
        positions = [_position(site) for site in self._placed.values()]
        bases = {}
        out = {each.technician for each, stop in self.layout.stops if stop.site in self._placed}
        for person in self.people.values():
            # who has no base any more counts only as long as they have a round
            if hasattr(person, "working_week") or person.pk in out:
                bases[person.pk] = len(positions)
                positions.append(self._base(person))
        places = [*((SITE, pk) for pk in nodes), *((BASE, pk) for pk in bases)]
        return engine.Problem(
            sites=tuple(self._site(site, nodes[key]) for key, site in self._placed.items()),
            fans=tuple(self._fans()),
            technicians=tuple(
                self._technician(self.people[key], base) for key, base in bases.items()
            ),
            days=tuple(day.toordinal() for day in self.clock.days),
            travel=self.ways.travel(places, positions, PARAMS),
            current=tuple(current),
            next_day=self.clock.next_monday.toordinal(),
            params=PARAMS,
            **search,
        )

    def _base(self, person: Person) -> tuple[float, float]:
        """Where somebody sets out; who has no base any more, at their first stop."""
        if hasattr(person, "working_week"):
            return person.working_week.position
        stops = (stop for each, stop in self.layout.stops if each.technician == person.pk)
        site = next(self.sites[stop.site] for stop in stops if stop.site in self._placed)
        return _position(site)

    @cached_property
    def _placed(self) -> Mapping[int, Site]:
        return {key: site for key, site in self.sites.items() if site.latitude is not None}

    def _site(self, site: Site, node: int) -> engine.Site:
        behind = [-self.clock.ahead_minutes(site.zone, day) for day in self.clock.week]
        blockers = [each for each in self.blockers if each.site_id == site.pk]
        access, stop = _week(site.roof_access_hours), _week(site.fan_stop_hours)
        return engine.Site(
            key=site.pk,
            node=node,
            access_minutes=site.access_minutes,
            access_hours=self._by_booking(site, shifted(access, behind) if access else ALWAYS),
            stop_hours=stop and shifted(stop, behind),
            skill=LIFT if self._has_lift(site.pk) else "",
            blockers=tuple(map(_blocker, (each for each in blockers if each.fan_id is None))),
        )

    def _by_booking(self, site: Site, access: Week) -> Week:
        """On days on which somebody gave hours by hand, those."""
        days = list(access)
        for each, stop in self.layout.stops:
            booking = self.bookings.get(stop.booking) if stop.booking else None
            kept = stop.keeps_hours and stop.site == site.pk
            if kept and booking and (span := booked_span(booking, self.clock)):
                days[each.day.weekday()] = (span,)
        return tuple(days)

    def _fans(self) -> Iterable[engine.DueFan]:
        by_fan: dict[int, list[engine.Blocker]] = defaultdict(list)
        for each in self.blockers:
            if each.fan_id is not None:
                by_fan[each.fan_id].append(_blocker(each))
        laid = {
            wanted
            for each, stop in self.layout.stops
            if each.day in self.clock.days
            for wanted in stop.works
        }
        for wanted, work in self.due.works.items():
            if work.site in self._placed and wanted not in self.not_wanted - laid:
                yield self._fan(wanted, work, by_fan[work.fan])
        monday = self.clock.monday.toordinal()
        for _, stop in self.layout.stops:
            minutes = self.extra_minutes(stop)
            if minutes and stop.site in self._placed:
                yield engine.DueFan(self.keys[stop.key], stop.site, minutes, monday, monday, 0.0)

    def _fan(self, wanted: Wanted, work: Work, blockers: list[engine.Blocker]) -> engine.DueFan:
        yes = [engine.Blocker(OWNERS_YES)] if work.needs_yes else []
        months = work.told[0].args.get("months")
        return engine.DueFan(
            key=self.keys[wanted],
            site=work.site,
            minutes=work.minutes(),
            due_day=work.due_day,
            overdue_after_day=work.overdue_after_day,
            prize=self.due.prizes[wanted],
            skill=work.skill,
            at_stop=work.is_stop,
            stopped=work.stopped,
            not_before_day=work.not_before_day,
            interval_days=max(1.0, months * 30.4) if months else 60.0,
            blockers=(*blockers, *yes),
        )

    def _technician(self, person: Person, base: int) -> engine.Technician:
        shifts = (self._shift(person, day) for day in self.clock.days)
        return engine.Technician(
            key=person.pk,
            start_node=base,
            end_node=base,
            shifts=tuple(shift for shift in shifts if shift),
            skills=self.skills_of(person.pk),
        )

    def _shift(self, person: Person, day: date) -> engine.Shift | None:
        if person in self.others or self.crew.is_off(person.pk, day):
            return None
        week = person.working_week
        if not week.hours[day.weekday()]:
            return None
        start, end = week.hours[day.weekday()][0]
        known = self.layout.rounds.get((person.pk, day))
        if not (known and known.published):
            start = max(start, self.clock.earliest_minute(day))
        if start >= end:
            return None
        reserve = min(week.reserve_minutes, end - start)
        return engine.Shift(day.toordinal(), start, end, week.overtime_minutes, reserve)


def gather(clock: WeekClock, layout: Layout, other: Layout | None = None) -> Gathered:
    """What is on record for a week whose draft stands as ``layout``, and may as ``other``.

    Raises WeekPlanError where a stop to come is at a site that has lost its coordinates.
    """
    layouts = [each for each in (layout, other) if each is not None]
    due = read_due(clock, PARAMS.soon_days, {wanted for each in layouts for wanted in each.wanted})
    bookings, crew = read_bookings(clock), read_crew(clock)
    ready = {person.pk for person in crew.people}
    laid = [pair for each in layouts for pair in each.stops]
    site_ids = {work.site for work in due.works.values()} | {stop.site for _, stop in laid}
    sites = read_sites(site_ids | {booking.site_id for booking in bookings})
    others = read_people({each.technician for each, _ in laid} - ready)
    gathered = Gathered(
        clock=clock,
        due=due,
        crew=crew,
        sites=sites,
        blockers=read_blockers(clock),
        bookings={booking.pk: booking for booking in bookings},
        layout=layout,
        others=others,
        ways=read_known(positions_of(sites.values(), [*crew.people, *others])),
    )
    unplaced = {site.pk for site in gathered.unplaced}
    for each, stop in laid:
        if stop.site in unplaced and each.day in clock.days:
            raise WeekPlanError(
                f"{gathered.sites[stop.site].name} is planned for {day_text(each.day)} and has no "
                "coordinates any more; enter them in the admin, Sites"
            )
    return gathered


def booked_span(booking: Booking, clock: WeekClock) -> tuple[int, int] | None:
    """A booking's hours as minutes of the office's clock; None for any time that day."""
    if booking.from_minute is None or booking.until_minute is None:
        return None
    ahead = clock.ahead_minutes(booking.site.zone, booking.day)
    length = (booking.until_minute - booking.from_minute) % DAY_MINUTES or DAY_MINUTES
    begin = max(0, booking.from_minute - ahead)
    return begin, begin + length


def _position(site: Site) -> tuple[float, float]:
    """Where a site is that has coordinates."""
    return float(site.latitude or 0), float(site.longitude or 0)


def _week(hours: Any) -> Week | None:
    if hours is None:
        return None
    return tuple(tuple((start, end) for start, end in spans) for spans in hours)


def _blocker(each: Blocker) -> engine.Blocker:
    return engine.Blocker(each.kind, each.cleared_on.toordinal() if each.cleared_on else None)
