"""Nameplates read otherwise than the register has them: a list for who decides which stands."""

from __future__ import annotations

from itertools import islice

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from schedules.fan_page.plate_reading import read_otherwise

PAGE = 50


@require_safe
def plates_page(request: HttpRequest) -> HttpResponse:
    """Each fan with what was read and what is on record, until the register says either."""
    if not getattr(request.user, "plans", False):
        raise Http404
    after = request.GET.get("after") or "0"
    if not (after.isascii() and after.isdecimal() and len(after) < 19):
        raise Http404
    found = list(islice(read_otherwise(int(after)), PAGE + 1))
    lines, more = found[:PAGE], len(found) > PAGE
    context = {"lines": lines, "next": lines[-1].reading if more else None}
    return render(request, "schedules/plates.html", context)
