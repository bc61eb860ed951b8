"""Nameplates read otherwise than the register has them: a list for who decides which stands."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from schedules.fan_page.plate_reading import read_otherwise


@require_safe
def plates_page(request: HttpRequest) -> HttpResponse:
    """Each fan with what was read and what is on record, until the register says either."""
    if not getattr(request.user, "plans", False):
        raise Http404
    lines = [(each.fan, each.texts) for each in read_otherwise()]
    return render(request, "schedules/plates.html", {"lines": lines})
