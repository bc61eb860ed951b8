"""A technician's calendar: fetched by programs, its address handed over to people."""

from __future__ import annotations

from hashlib import sha256
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.utils.http import http_date
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from config.api.signing_in import address_of
from config.private import UNTRACED
from fleet.models import Person, people_visible_to, technicians
from fleet.services.errors import RegisterError
from fleet.services.guesses import WITHIN, count_guess
from schedules.bookings.calendar_links import (
    end_calendar_link,
    find_calendar_link,
    make_calendar_link,
    read_calendar,
)
from schedules.models import CalendarLink
from schedules.wording.bookings import technician_name
from schedules.wording.days import day_text


@login_not_required
@require_safe
def calendar(request: HttpRequest, token: str) -> HttpResponseBase:
    """What the address's technician is booked for; the words in it are what gives the right."""
    now = timezone.now()
    link = find_calendar_link(token)
    if link is None:
        return _missed(request)
    text, since = read_calendar(link=link, now=now)
    answer = HttpResponse(text, content_type="text/calendar; charset=utf-8", headers=UNTRACED)
    # Programs keep the calendar anyway: "no-store" would only keep them from asking what changed.
    answer.headers["Cache-Control"] = "private, no-cache"
    answer.headers["Content-Disposition"] = 'inline; filename="roof-visits.ics"'
    answer.headers["ETag"] = tag = f'"{sha256(text.encode()).hexdigest()[:32]}"'
    answer.headers["Last-Modified"] = http_date(since.timestamp())
    told = get_conditional_response(request, tag, int(since.timestamp()), answer)
    return told or answer


def _missed(request: HttpRequest) -> HttpResponse:
    """One answer for addresses ended, of people who left, or made up: nothing tells which."""
    if count_guess(address=address_of(request), now=timezone.now()):
        wait = {"Retry-After": str(int(WITHIN.total_seconds()))}
        return _plain(_("Too many addresses that are none; wait a while."), 429, wait)
    return _plain(_("There is no calendar here. Ask for a new address."), 404)


def _plain(text: str, status: int, more: dict[str, str] | None = None) -> HttpResponse:
    headers = {**UNTRACED, **(more or {})}
    kind = "text/plain; charset=utf-8"
    return HttpResponse(f"{text}\n", status=status, content_type=kind, headers=headers)


@require_safe
def calendars_page(request: HttpRequest) -> HttpResponse:
    """A technician's own page; for those who plan, whose calendar has an address."""
    person: Any = request.user
    if not person.works_here:
        raise Http404
    if not person.plans:
        return redirect("calendar_page", person.pk)
    people = list(technicians().select_related("calendar_link").order_by("last_name", "username"))
    told = [(each, _standing_text(getattr(each, "calendar_link", None))) for each in people]
    return render(request, "schedules/calendars.html", {"people": told})


@require_http_methods(["GET", "HEAD", "POST"])
def calendar_page(request: HttpRequest, person_id: int) -> HttpResponse:
    """Get an address, a new one in its place, or end it; the address is shown once."""
    by, person = request.user, _technician(request, person_id)
    address = ""
    if request.method == "POST":
        do = request.POST.get("do")
        if do == "end":
            if end_calendar_link(technician=person, by=by):  # type: ignore[arg-type]  # signed in
                messages.success(request, _("The address has ended."))
            return redirect("calendar_page", person.pk)
        if do != "make":
            raise Http404
        address = _made(request, person)
    link = CalendarLink.objects.filter(technician=person).select_related("made_by").first()
    context = {
        "person": person, "link": link, "standing": _standing_text(link), "address": address,
        "is_own": person == by,
    }  # fmt: skip
    return render(request, "schedules/calendar.html", context)


def _made(request: HttpRequest, person: Person) -> str:
    by: Any = request.user
    try:
        return make_calendar_link(technician=person, by=by, now=timezone.now())
    except RegisterError as error:
        raise Http404 from error


def _technician(request: HttpRequest, person_id: int) -> Person:
    """An active technician whom the reader may see; for others there is no such page."""
    reader: Any = request.user
    person = (people_visible_to(reader) & technicians()).filter(pk=person_id).first()
    if person is None:
        raise Http404
    return person


def _standing_text(link: CalendarLink | None) -> str:
    """``Made Mon 30 Nov 2026 by D. Reyes; last fetched Tue 1 Dec 2026.``; empty without one."""
    if link is None:
        return ""
    made = _("Made {day} by {who}").format(
        day=day_text(link.made_at.date()), who=technician_name(link.made_by)
    )
    if link.fetched_on is None:
        return _("{made}; not fetched yet.").format(made=made)
    return _("{made}; last fetched {day}.").format(made=made, day=day_text(link.fetched_on))
