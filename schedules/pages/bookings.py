"""Where those who plan send a site's forms: book, move, withdraw."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from fleet.models import Site
from fleet.services.errors import RegisterError
from schedules.bookings.services import Terms, book, move_booking, withdraw_booking
from schedules.models import Booking
from schedules.pages.booking_forms import BookingForm, Refused
from schedules.pages.sites import show_site
from schedules.wording import booked_text
from visits.wording.names import upper_first


@require_POST
def book_page(request: HttpRequest, site_id: int) -> HttpResponse:
    """A new booking of the site."""
    by = _planner(request)
    site = get_object_or_404(Site.objects.visible_to(by).select_related("owner"), pk=site_id)
    form = BookingForm(request.POST)

    def store(terms: Terms) -> Booking:
        return book(site=site, terms=terms, by=by, now=timezone.now())

    return _stored(request, site, form, store, None)


@require_POST
def move_page(request: HttpRequest, booking_id: UUID) -> HttpResponse:
    """Move a booking: another day, time or technician."""
    by = _planner(request)
    booking = _booking(by, booking_id)
    form = BookingForm(request.POST, auto_id=f"{booking_id}_%s")

    def store(terms: Terms) -> Booking:
        seen = form.cleaned_data["seen"] or 0
        return move_booking(
            booking_id=booking_id, seen=seen, terms=terms, by=by, now=timezone.now()
        )

    return _stored(request, booking.site, form, store, booking_id)


@require_POST
def withdraw_page(request: HttpRequest, booking_id: UUID) -> HttpResponse:
    """A booking that nobody goes to any more."""
    by = _planner(request)
    booking = _booking(by, booking_id)
    seen = request.POST.get("seen", "")
    try:
        withdrawn = withdraw_booking(
            booking_id=booking_id,
            seen=int(seen) if seen.isascii() and seen.isdigit() and len(seen) < 10 else -1,
            reason=request.POST.get("reason", ""),
            by=by,
            now=timezone.now(),
        )
    except RegisterError as error:
        return show_site(request, booking.site, _as_it_stands(booking_id, error))
    messages.success(request, _("Withdrawn: {what}.").format(what=booked_text(withdrawn)))
    return redirect("site_page", booking.site_id)


def _stored(
    request: HttpRequest,
    site: Site,
    form: BookingForm,
    store: Callable[[Terms], Booking],
    booking_id: UUID | None,
) -> HttpResponse:
    """The site's page again: with the booking, or with what is wrong with it."""
    if form.is_valid():
        try:
            booking = store(form.terms)
        except RegisterError as error:
            if not error.faults:
                # It is no longer what they saw: the form is drawn anew from how it stands.
                return show_site(request, site, _as_it_stands(booking_id, error))
            form.refuse(error.faults)
        else:
            messages.success(request, _("Booked: {what}.").format(what=booked_text(booking)))
            return redirect("site_page", site.pk)
    return show_site(request, site, Refused(form, booking_id))


def _as_it_stands(booking_id: UUID | None, error: RegisterError) -> Refused:
    return Refused(None, booking_id, f"{upper_first(str(error))}.")


def _planner(request: HttpRequest) -> Any:
    person: Any = request.user
    if not person.plans:
        raise Http404
    return person


def _booking(by: Any, booking_id: UUID) -> Booking:
    rows = Booking.objects.visible_to(by).select_related("site__owner")
    return get_object_or_404(rows, pk=booking_id)
