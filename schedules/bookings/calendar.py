"""Bookings as iCalendar objects: in a letter, or kept for a calendar program (RFC 5545 to 7986)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime, timedelta
from email.utils import parseaddr
from uuid import UUID
from zoneinfo import ZoneInfo

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext as _
from icalendar import Calendar, Event, Timezone, vCalAddress, vDuration, vText
from icalendar.enums import STATUS

from schedules.models import Booking

PRODID = "-//Roofround//Bookings//EN"
METHOD = "PUBLISH"
"""A booking is told, not asked: REQUEST would want attendees' answers, which nobody here reads."""

A_YEAR = timedelta(days=366)
"""Clock changes are told so far around what is booked."""
ZONE_SINCE = date(2026, 1, 1)
"""Clock changes before that are nobody's visits; a calendar without any tells those after."""
ASKED_AGAIN = timedelta(hours=1)
"""How long a calendar program may rest between two looks; our choice."""


def calendar_of(bookings: Sequence[Booking], now: datetime) -> str:
    """All of them, those withdrawn as cancelled, with the time zones they use; lines end CRLF."""
    told = Calendar.new(
        prodid=PRODID, method=METHOD, name=_("Roof visits"),
        subcomponents=[_event(booking, now, _organizer()) for booking in bookings],
    )  # fmt: skip
    # The library's own is new each time, as if each letter were another calendar.
    told.pop("UID", None)
    return _with_zones(told, bookings)


def kept_calendar(bookings: Sequence[Booking], uid: UUID, zone: ZoneInfo) -> str:
    """The same for a program that asks again and again: of the same bookings the same text.

    It is no message: without METHOD a DTSTAMP is that of the last change (RFC 5545, 3.8.7.2), and
    what stands in one person's calendar only has no ORGANIZER (3.8.4.3).  A calendar must hold
    something (3.6): without bookings that is ``zone``.
    """
    told = Calendar.new(
        prodid=PRODID, name=_("Roof visits"), uid=uid, url=settings.PUBLIC_URL,
        refresh_interval=ASKED_AGAIN,
        subcomponents=[_event(booking, booking.changed_at) for booking in bookings],
    )  # fmt: skip
    # The library leaves out what RFC 7986, 5.7, requires.
    told["REFRESH-INTERVAL"].params["VALUE"] = "DURATION"
    # No standard: what programs read that do not know REFRESH-INTERVAL.
    told.add("X-PUBLISHED-TTL", vDuration(ASKED_AGAIN))
    if not bookings:
        told.add_component(Timezone.from_tzid(zone.key, first_date=ZONE_SINCE))
    return _with_zones(told, bookings)


def _with_zones(told: Calendar, bookings: Sequence[Booking]) -> str:
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


def _event(booking: Booking, stamp: datetime, organizer: vCalAddress | None = None) -> Event:
    site = booking.site
    start, end = booking.hours or (booking.day, booking.day + timedelta(days=1))
    event = Event.new(
        # RFC 7986, 5.3: a UUID says nothing of who made it
        uid=booking.pk,
        sequence=booking.sequence,
        stamp=stamp.astimezone(UTC),
        created=booking.booked_at.astimezone(UTC),
        last_modified=booking.changed_at.astimezone(UTC),
        start=start,
        end=end,
        status=STATUS.CANCELLED if booking.withdrawn_at else STATUS.CONFIRMED,
        summary=_("Roof fans: {site}").format(site=site.name),
        location=site.address or None,
        description="\n".join(filter(None, [booking.note, site.access_notes])) or None,
        organizer=organizer,
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
