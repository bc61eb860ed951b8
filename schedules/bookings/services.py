"""What those who plan do with bookings: make one, move it, withdraw it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.core.exceptions import PermissionDenied

from config.collisions import in_one_transaction
from fleet.models import Person, Site
from fleet.services.errors import RegisterError
from schedules.bookings.faults import refuse_faulty, refuse_settled
from schedules.models import Booking
from schedules.wording.bookings import technician_name


@dataclass(frozen=True)
class Terms:
    """Who comes when: a local day, minutes of that day or none, and a note for the technician."""

    technician: Person
    day: date
    from_minute: int | None = None
    until_minute: int | None = None
    note: str = ""


@in_one_transaction
def book(*, site: Site, terms: Terms, by: Person, now: datetime) -> Booking:
    """A new booking; RegisterError with every fault, PermissionDenied for who does not plan."""
    _require_planner(by)
    return _book(site, terms, by, now)


@in_one_transaction
def move_booking(
    *, booking_id: UUID, seen: int, terms: Terms, by: Person, now: datetime
) -> Booking:
    """The booking under other terms; ``seen`` is the sequence that whoever moves it looked at.

    Another technician's is a new booking: calendars then drop the first one's and take up the new.
    Raises as ``book``.
    """
    _require_planner(by)
    booking = _locked(booking_id)
    refuse_settled(booking, seen, now)
    if terms == terms_of(booking):
        return booking
    if terms.technician.pk != booking.technician_id:
        _withdraw(booking, f"given to {technician_name(terms.technician)}", by, now)
        return _book(booking.site, terms, by, now)
    _set(booking, terms)
    _lock_technician(terms.technician)
    refuse_faulty(booking, now)
    return _changed(booking, by, now)


@in_one_transaction
def withdraw_booking(
    *, booking_id: UUID, seen: int, reason: str, by: Person, now: datetime
) -> Booking:
    """The booking as one that nobody goes to; it stays on record.  Raises as ``book``."""
    _require_planner(by)
    booking = _locked(booking_id)
    refuse_settled(booking, seen, now)
    return _withdraw(booking, reason.strip() or "withdrawn", by, now)


def terms_of(booking: Booking) -> Terms:
    """Who comes when, as it stands."""
    return Terms(
        booking.technician, booking.day, booking.from_minute, booking.until_minute, booking.note
    )


def _book(site: Site, terms: Terms, by: Person, now: datetime) -> Booking:
    booking = Booking(site=site, booked_at=now, booked_by=by, changed_at=now, changed_by=by)
    _set(booking, terms)
    _lock_technician(terms.technician)
    refuse_faulty(booking, now)
    booking.save(force_insert=True)
    return booking


def _withdraw(booking: Booking, reason: str, by: Person, now: datetime) -> Booking:
    limit = Booking._meta.get_field("withdrawn_reason").max_length
    if limit and len(reason) > limit:
        raise RegisterError(f"the reason has {len(reason)} characters; at most {limit} are kept")
    booking.withdrawn_at, booking.withdrawn_reason = now, reason
    return _changed(booking, by, now)


def _changed(booking: Booking, by: Person, now: datetime) -> Booking:
    booking.sequence += 1
    booking.changed_at, booking.changed_by = now, by
    booking.save()
    return booking


def _set(booking: Booking, terms: Terms) -> None:
    booking.technician, booking.day, booking.note = terms.technician, terms.day, terms.note
    booking.from_minute, booking.until_minute = terms.from_minute, terms.until_minute


def _locked(booking_id: UUID) -> Booking:
    rows = Booking.objects.select_for_update(of=("self",))
    return rows.select_related("site", "technician", "changed_by").get(pk=booking_id)


def _lock_technician(person: Person) -> None:
    """Two who book the same technician at once do so one after the other."""
    Person.objects.select_for_update().order_by().filter(pk=person.pk).first()


def _require_planner(by: Person) -> None:
    if not by.plans:
        raise PermissionDenied("Only managers and dispatchers book visits.")
