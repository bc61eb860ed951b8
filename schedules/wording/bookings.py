"""Bookings in words: who comes when."""

from __future__ import annotations

from django.utils.translation import gettext as _

from fleet.models import Person
from schedules.models import Booking
from schedules.wording.days import day_text
from schedules.wording.hours import span_text


def technician_name(person: Person) -> str:
    """``J. Park``: what people call each other on a list; the login where no name is known."""
    if not person.last_name:
        return person.first_name or person.username
    return f"{person.first_name[:1]}. {person.last_name}" if person.first_name else person.last_name


def hours_text(booking: Booking) -> str:
    """``9:00–11:00``; empty for any time that day."""
    if booking.from_minute is None or booking.until_minute is None:
        return ""
    return span_text(booking.from_minute, booking.until_minute)


def when_booked_text(booking: Booking) -> str:
    """``Tue 1 Dec 2026, 9:00–11:00``."""
    return ", ".join(filter(None, [day_text(booking.day), hours_text(booking)]))


def booked_text(booking: Booking) -> str:
    """``Tue 1 Dec 2026, 9:00–11:00, J. Park``."""
    return f"{when_booked_text(booking)}, {technician_name(booking.technician)}"


def booked_note(booking: Booking | None, reader: object) -> str:
    """What a list says beside a fan; owners are told when, not who."""
    if booking is None:
        return ""
    for_us = getattr(reader, "works_here", False)
    told = booked_text(booking) if for_us else when_booked_text(booking)
    return _("Booked {when}.").format(when=told.rstrip("."))
