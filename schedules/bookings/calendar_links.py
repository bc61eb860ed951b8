"""A technician's calendar address: made, made anew, ended, and what is told under it."""

from __future__ import annotations

import hashlib
import re
import secrets
from datetime import datetime

from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.urls import reverse

from config.collisions import in_one_transaction
from fleet.models import Person, technicians
from fleet.services.errors import RegisterError
from schedules.bookings.calendar import kept_calendar
from schedules.models import Booking, CalendarLink
from schedules.office import office
from schedules.wording.bookings import technician_name

TOKEN_BYTES = 32
TOKEN = re.compile(rf"[0-9a-f]{{{2 * TOKEN_BYTES}}}")


@in_one_transaction
def make_calendar_link(*, technician: Person, by: Person, now: datetime) -> str:
    """A new address, told this once; from now on the one before opens nothing.

    PermissionDenied for who is neither that technician nor plans, RegisterError where they are not
    sent to roofs (any more).
    """
    _require_theirs(technician, by)
    if not technician.is_active or technician.role != Person.Role.TECHNICIAN:
        name = technician_name(technician)
        raise RegisterError(f"{name} is not sent to roofs; choose a technician who works here")
    # 256 random bits: nothing to guess, nothing to work out from elsewhere
    token = secrets.token_hex(TOKEN_BYTES)
    told = {"token_sha256": _digest(token), "made_at": now, "made_by": by, "fetched_on": None}
    CalendarLink.objects.update_or_create(technician=technician, defaults=told)
    return settings.PUBLIC_URL + reverse("calendar", args=[token])


def end_calendar_link(*, technician: Person, by: Person) -> bool:
    """From now on no address tells their bookings; whether one did.  Raises PermissionDenied."""
    _require_theirs(technician, by)
    return bool(CalendarLink.objects.filter(technician=technician).delete()[0])


def find_calendar_link(token: str) -> CalendarLink | None:
    """The link of these words, of somebody who is still sent to roofs."""
    if not TOKEN.fullmatch(token):
        return None
    rows = CalendarLink.objects.select_related("technician").filter(technician__in=technicians())
    return rows.filter(token_sha256=_digest(token)).first()


def read_calendar(*, link: CalendarLink, now: datetime) -> tuple[str, datetime]:
    """The calendar as it is now, and since when it has read so as far as anybody was told."""
    # UTC's day: what shows for weeks may do so half a day longer.
    bookings = list(Booking.objects.in_calendar_of(link.technician, now.date()))
    text = kept_calendar(bookings, link.pk, office().zone)
    noted, digest = (link.told_at, link.fetched_on), _digest(text)
    if link.told_at is None or link.told_sha256 != digest:
        link.told_sha256, link.told_at = digest, now
    link.fetched_on = now.date()
    if noted != (link.told_at, link.fetched_on):
        told = {"told_sha256": link.told_sha256, "told_at": link.told_at}
        rows = CalendarLink.objects.filter(pk=link.pk, token_sha256=link.token_sha256)
        rows.update(**told, fetched_on=link.fetched_on)
    return text, link.told_at


def _require_theirs(technician: Person, by: Person) -> None:
    if by.pk != technician.pk and not by.plans:
        raise PermissionDenied("A calendar's address is its technician's; others plan for them.")


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()
