"""What is wrong with a booking before it is stored: each fault by field, with what to do."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, timedelta

from fleet.models import Person
from fleet.services.errors import RegisterError, refuse
from schedules.models import Booking
from schedules.wording.bookings import booked_text, technician_name
from schedules.wording.days import day_text
from visits.payload.moments import Moment

LONGEST = timedelta(hours=12)
FARTHEST = timedelta(days=366)
"""Both our choice: what lies beyond is rather a slip than a plan."""


def refuse_faulty(booking: Booking, now: datetime) -> None:
    """RegisterError with every fault of a booking that is about to be stored."""
    faults = dict([*_of_technician(booking.technician), *_of_time(booking, now)])
    if not faults:
        faults = dict(_of_others(booking))
    if faults:
        raise refuse(faults)


def refuse_settled(booking: Booking, seen: int, now: datetime) -> None:
    """RegisterError where a booking is no longer what somebody saw, or past, or withdrawn."""
    if booking.withdrawn_at:
        told = f"this booking was withdrawn ({booking.withdrawn_reason}); make a new one"
    elif booking.sequence != seen:
        who = technician_name(booking.changed_by)
        told = f"{who} changed this booking meanwhile: {booked_text(booking)}; look at it again"
    elif booking.day < today_at(booking, now):
        told = f"{day_text(booking.day)} is past; what was done that day is told by its visits"
    else:
        return
    raise RegisterError(told)


def today_at(booking: Booking, now: datetime) -> date:
    """The day it is at the booking's site."""
    return now.astimezone(booking.site.zone).date()


def _of_technician(person: Person) -> Iterator[tuple[str, str]]:
    name = technician_name(person)
    if not person.is_active:
        yield "technician", f"{name} no longer works here; choose another"
    elif person.role != Person.Role.TECHNICIAN:
        yield "technician", f"{name} is a {person.get_role_display()}; choose a technician"


def _of_time(booking: Booking, now: datetime) -> Iterator[tuple[str, str]]:
    today = today_at(booking, now)
    if booking.day < today:
        yield "day", f"{day_text(booking.day)} is past there; choose {day_text(today)} or later"
    if booking.day > today + FARTHEST:
        yield "day", f"{day_text(booking.day)} is more than a year away; check the year"
    if (booking.from_minute is None) != (booking.until_minute is None):
        given = "until_minute" if booking.until_minute is None else "from_minute"
        yield given, "one time alone says too little; give both, or neither for any time that day"
    elif booking.hours:
        yield from _of_hours(booking, *booking.hours)


def _of_hours(booking: Booking, begin: datetime, end: datetime) -> Iterator[tuple[str, str]]:
    length = end - begin
    if length > LONGEST:
        hours = length.total_seconds() / 3600
        yield (
            "until_minute",
            f"that is {hours:g} hours; at most 12 are booked at once, so check both times",
        )
    for field, at in (("from_minute", begin), ("until_minute", end)):
        if not Moment(at.replace(tzinfo=None)).exists_at(booking.site.zone):
            yield field, f"the clocks at {booking.site.name} skip {at:%H:%M} that day; take another"


def _of_others(booking: Booking) -> Iterator[tuple[str, str]]:
    """The same technician elsewhere at that time, or here that day."""
    near = (booking.day - timedelta(days=1), booking.day + timedelta(days=1))
    rows = Booking.objects.standing().filter(technician=booking.technician, day__range=near)
    for other in rows.exclude(pk=booking.pk).select_related("site", "technician"):
        if _clash(booking, other):
            name = technician_name(booking.technician)
            yield (
                "technician",
                f"{name} is at {other.site.name} then: {booked_text(other)}; "
                "move that, or choose another time or technician",
            )


def _clash(one: Booking, other: Booking) -> bool:
    if one.hours and other.hours:
        return one.hours[0] < other.hours[1] and other.hours[0] < one.hours[1]
    return one.site_id == other.site_id and one.day == other.day
