"""Bookings as an iCalendar object that a technician's calendar takes in (RFC 5545, 5546, 7986)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime, timedelta
from email.utils import parseaddr
from uuid import UUID

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext as _
from icalendar import Calendar, Event, vCalAddress, vText
from icalendar.enums import STATUS

from schedules.models import Booking

METHOD = "PUBLISH"
"""A booking is told, not asked: REQUEST would want attendees' answers, which nobody here reads."""

A_YEAR = timedelta(days=366)
"""Clock changes are told so far around what is booked."""


def calendar_of(bookings: Sequence[Booking], now: datetime) -> str:
    """All of them, those withdrawn as cancelled, with the time zones they use; lines end CRLF."""
    told = Calendar.new(
        prodid="-//Roofround//Bookings//EN", method=METHOD, name=_("Roof visits"),
        subcomponents=[_event(booking, now) for booking in bookings],
    )  # fmt: skip
    # The library's own is new each time, as if each letter were another calendar.
    told.pop("UID", None)
    if bookings:
        days = [booking.day for booking in bookings]
        told.add_missing_timezones(min(days) - A_YEAR, max(days) + A_YEAR)
    return told.to_ical().decode()


def told_by(calendar: str) -> Mapping[UUID, tuple[date, int]]:
    """By UID, the day and the sequence of what a calendar of ours says will take place."""
    if not calendar:
        return {}
    found = {}
    for event in Calendar.from_ical(calendar).events:
        if event.status != STATUS.CANCELLED:
            start = event.start
            day = start.date() if isinstance(start, datetime) else start
            found[UUID(str(event.uid))] = day, int(event.sequence or 0)
    return found


def _event(booking: Booking, now: datetime) -> Event:
    site = booking.site
    start, end = booking.hours or (booking.day, booking.day + timedelta(days=1))
    event = Event.new(
        # RFC 7986, 5.3: a UUID says nothing of who made it
        uid=booking.pk,
        sequence=booking.sequence,
        stamp=now.astimezone(UTC),
        created=booking.booked_at.astimezone(UTC),
        last_modified=booking.changed_at.astimezone(UTC),
        start=start,
        end=end,
        status=STATUS.CANCELLED if booking.withdrawn_at else STATUS.CONFIRMED,
        summary=_("Roof fans: {site}").format(site=site.name),
        location=site.address or None,
        description="\n".join(filter(None, [booking.note, site.access_notes])) or None,
        organizer=_organizer(),
        url=settings.PUBLIC_URL + reverse("site_page", args=[site.pk]),
    )
    if site.latitude is not None:
        event.add("geo", (site.latitude, site.longitude))
    return event


def _organizer() -> vCalAddress:
    """Whom a calendar may ask: RFC 5546, 3.2.1, wants one in what is published."""
    name, address = parseaddr(settings.DEFAULT_FROM_EMAIL)
    organizer = vCalAddress(f"mailto:{address}")
    if name:
        organizer.params["CN"] = vText(name)
    return organizer
