"""What those who plan do with bookings: make one, move it, withdraw it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
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
    _lock_technician(terms.technician.pk)
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


@dataclass(frozen=True)
class Move:
    """A booking, as somebody looked at it, under other terms; None: withdrawn, for a reason."""

    booking_id: UUID
    seen: int
    terms: Terms | None
    reason: str = ""


@in_one_transaction
def rebook(
    *, moves: Sequence[Move], new: Sequence[tuple[Site, Terms]], by: Person, now: datetime
) -> tuple[list[Booking], list[Booking]]:
    """Many at once, so that two can take each other's time; all or none.

    Returns the bookings that stand for ``moves``, and the new ones, in their order.  Those moved to
    where they are stay as they are.  Raises as ``book``, each fault with its site.
    """
    _require_planner(by)
    people = {terms.technician.pk for _, terms in new}
    people |= {move.terms.technician.pk for move in moves if move.terms}
    for pk in sorted(people):
        _lock_technician(pk)
    moved = [_moved(move, by, now) for move in moves]
    made = [_unchecked(site, terms, by, now) for site, terms in new]
    for booking in {*moved, *made}:
        if booking.withdrawn_at is None and booking.changed_at == now:
            with _at(booking.site):
                refuse_faulty(booking, now)
    return moved, made


def _moved(move: Move, by: Person, now: datetime) -> Booking:
    booking = _locked(move.booking_id)
    if move.terms == terms_of(booking) and booking.withdrawn_at is None:
        return booking
    with _at(booking.site):
        refuse_settled(booking, move.seen, now)
        if move.terms is None:
            return _withdraw(booking, move.reason, by, now)
        if move.terms.technician.pk != booking.technician_id:
            _withdraw(booking, f"given to {technician_name(move.terms.technician)}", by, now)
            return _unchecked(booking.site, move.terms, by, now)
    _set(booking, move.terms)
    return _changed(booking, by, now)


@contextmanager
def _at(site: Site) -> Iterator[None]:
    """Faults of one of many, with the site that they are about."""
    try:
        yield
    except RegisterError as error:
        told = "; ".join(error.faults.values()) or str(error)
        raise RegisterError(f"{site.name}: {told}", error.faults) from error


def terms_of(booking: Booking) -> Terms:
    """Who comes when, as it stands."""
    return Terms(
        booking.technician, booking.day, booking.from_minute, booking.until_minute, booking.note
    )


def _book(site: Site, terms: Terms, by: Person, now: datetime) -> Booking:
    booking = _new(site, terms, by, now)
    _lock_technician(terms.technician.pk)
    refuse_faulty(booking, now)
    booking.save(force_insert=True)
    return booking


def _unchecked(site: Site, terms: Terms, by: Person, now: datetime) -> Booking:
    booking = _new(site, terms, by, now)
    booking.save(force_insert=True)
    return booking


def _new(site: Site, terms: Terms, by: Person, now: datetime) -> Booking:
    booking = Booking(site=site, booked_at=now, booked_by=by, changed_at=now, changed_by=by)
    _set(booking, terms)
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


def _lock_technician(pk: int) -> None:
    """Two who book the same technician at once do so one after the other."""
    Person.objects.select_for_update().order_by().filter(pk=pk).first()


def _require_planner(by: Person) -> None:
    if not by.plans:
        raise PermissionDenied("Only managers and dispatchers book visits.")
