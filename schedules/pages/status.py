"""How what runs by itself stands, for those who plan; managers let parked work go again."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.db import connection
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST, require_safe

from fleet.models import Person
from schedules.jobs.ledger import let_go
from schedules.jobs.status import broker_trouble, read_status
from schedules.wording.jobs import (
    ago_text,
    at_text,
    entry_name,
    parked_name,
    result_text,
    took_text,
)


@require_safe
def status_page(request: HttpRequest) -> HttpResponse:
    """The timetable, what waits, what is parked and why, what else this install stands on."""
    if not getattr(request.user, "plans", False):
        raise Http404
    now = timezone.now()
    status = read_status(now)
    oldest = status.oldest_stale
    context: dict[str, Any] = {
        "status": status,
        "lines": [
            {
                "name": entry_name(line.entry.name),
                "ran": at_text(line.job.begun_at),
                "took": took_text(line.took),
                "result": result_text(line),
                "next": at_text(line.next_turn),
                "wrong": line.is_late or line.job.parked_at or line.job.fault,
            }
            for line in status.entries
        ],
        "waits": ago_text(oldest.touched_at, now) if oldest and oldest.touched_at else "",
        "parked": [
            {"job": job, "name": parked_name(job), "since": at_text(job.parked_at)}
            for job in status.parked
        ],
        "more_parked": status.parked_count - len(status.parked),
        "database": connection.vendor,
        "broker": settings.REDIS_URL and broker_trouble(),
        "workers": bool(settings.REDIS_URL),
        "manages": _manages(request),
        "now": at_text(now),
    }
    return render(request, "schedules/status_page.html", context)


def _manages(request: HttpRequest) -> bool:
    return getattr(request.user, "role", "") == Person.Role.MANAGER


@require_POST
def let_parked_go(request: HttpRequest) -> HttpResponse:
    """One parked job by its ``job``, or without it all of them."""
    if not _manages(request):
        raise Http404
    told = request.POST.get("job", "")
    if told and not (told.isascii() and told.isdecimal() and len(told) < 19):
        raise Http404
    count = let_go(job_id=int(told) if told else None)
    messages.success(
        request,
        ngettext(
            "{count} job is tried again within a minute.",
            "{count} jobs are tried again within a minute.", count,
        ).format(count=count)
        if count
        else _("It was not parked any more."),
    )  # fmt: skip
    return redirect("status_page")
