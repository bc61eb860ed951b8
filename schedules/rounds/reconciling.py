"""A draft brought up to what is booked and who is there, before it is planned anew."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace
from uuid import UUID, uuid4

from schedules.engine.rounds.hours import DAY_MINUTES
from schedules.models import Booking
from schedules.rounds.gathering import Gathered, booked_span
from schedules.rounds.layout import LaidRound, LaidStop, Layout, Workday
from schedules.rounds.work import DEFAULT_WORK, Work


@dataclass(frozen=True)
class Reconciled:
    """The layout to plan from, and bookings that stand beside it since nobody can route them."""

    layout: Layout
    beside: tuple[Booking, ...]


def reconcile(gathered: Gathered, known: Collection[UUID], *, fresh: bool) -> Reconciled:
    """Bookings withdrawn or changed by hand followed, new ones laid in, rounds nobody can do freed.

    ``known`` were laid in before: one of them that is in no stop was taken out by somebody.
    ``fresh`` also frees all that is neither fixed nor published.
    """
    rounds = [_followed(gathered, each, fresh=fresh) for each in gathered.layout]
    layout = Layout.of(rounds)
    laid = {stop.booking for _, stop in layout.stops}
    beside = []
    for booking in gathered.bookings.values():
        if booking.pk in laid or (booking.pk in known and not _moved_by_hand(gathered, booking)):
            continue
        if booking.day not in gathered.clock.days:
            continue
        if booking.technician_id in gathered.people and booking.site not in gathered.unplaced:
            layout = _laid_in(gathered, layout, booking)
        else:
            beside.append(booking)
    return Reconciled(layout, tuple(beside))


def _followed(gathered: Gathered, each: LaidRound, *, fresh: bool) -> LaidRound:
    if each.day not in gathered.clock.days:
        return each
    published = each.published and gathered.may_go(each.workday)
    stops = (_as_booked(gathered, each.workday, stop) for stop in each.stops)
    kept = tuple(
        stop
        for stop in stops
        if stop and (published or not fresh or stop.booking or gathered.is_fixed(stop))
    )
    return replace(each, stops=kept, published=published)


def _as_booked(gathered: Gathered, workday: Workday, stop: LaidStop) -> LaidStop | None:
    """The stop as its booking stands now; None where that is gone or elsewhere."""
    if stop.booking is None:
        return stop
    booking = gathered.bookings.get(stop.booking)
    if booking is None:
        return None
    if booking.sequence == stop.booking_seen:
        # where they differ, somebody has moved the stop and not published yet
        return stop
    if (booking.technician_id, booking.day) != workday:
        return None
    return replace(stop, booking_seen=booking.sequence, keeps_hours=booking.from_minute is not None)


def _moved_by_hand(gathered: Gathered, booking: Booking) -> bool:
    """Whether a known booking fell out because it changed, not because somebody took it out."""
    return any(stop.booking == booking.pk for _, stop in gathered.layout.stops)


def _laid_in(gathered: Gathered, layout: Layout, booking: Booking) -> Layout:
    """A stop for a booking that somebody made by hand, with what is due there."""
    span = booked_span(booking, gathered.clock)
    room = None if span is None else span[1] - span[0] - booking.site.access_minutes
    works = tuple(_fitting(gathered, layout, booking, room))
    spent = sum(work.minutes() for work in works)
    if room is not None:
        extra = max(0, room - spent)
    else:
        extra = 0 if works else round(DEFAULT_WORK.booked_without_hours)
    stop = LaidStop(
        key=uuid4(),
        site=booking.site_id,
        works=tuple(work.wanted for work in works),
        pinned=True,
        booking=booking.pk,
        booking_seen=booking.sequence,
        keeps_hours=span is not None,
        extra_minutes=extra,
    )
    freed = _freed(layout, stop)
    workday = booking.technician_id, booking.day
    return freed.put(stop, workday, _by_time(gathered, freed, workday, booking))


def _fitting(
    gathered: Gathered, layout: Layout, booking: Booking, room: int | None
) -> Iterator[Work]:
    """Due work at the site that the technician may do, the most urgent first, as far as it fits."""
    fixed = {wanted for each, stop in layout.stops for wanted in stop.works
             if each.published or gathered.is_fixed(stop)}  # fmt: skip
    next_day = gathered.clock.next_monday.toordinal()
    works = [
        work
        for work in gathered.due.works.values()
        if work.site == booking.site_id and work.due_day < next_day and not work.needs_yes
        and work.wanted not in fixed
        and {work.skill} - {""} <= gathered.skills_of(booking.technician_id)
    ]  # fmt: skip
    for work in sorted(works, key=lambda work: (work.overdue_after_day, work.wanted)):
        if room is None:
            yield work
        elif work.minutes() <= room:
            room -= work.minutes()
            yield work


def _freed(layout: Layout, taker: LaidStop) -> Layout:
    """The layout without the work that another stop takes over."""
    taken = set(taker.works)
    changes: dict[Workday, list[LaidStop]] = {}
    for each in layout:
        stops = [
            replace(stop, works=tuple(w for w in stop.works if w not in taken))
            for stop in each.stops
        ]
        if tuple(stops) != each.stops:
            changes[each.workday] = [
                stop for stop in stops if stop.works or stop.booking or stop.extra_minutes
            ]
    return layout.with_stops(changes)


def _by_time(gathered: Gathered, layout: Layout, workday: Workday, booking: Booking) -> int:
    """Behind those booked for an earlier hour."""
    minute = booking.from_minute if booking.from_minute is not None else DAY_MINUTES
    earlier = 0
    for at, stop in enumerate(layout.stops_on(workday), 1):
        other = gathered.bookings.get(stop.booking) if stop.booking else None
        if other and other.from_minute is not None and other.from_minute <= minute:
            earlier = at
    return earlier
