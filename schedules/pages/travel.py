"""How travel times stand: what is on record, what lacks, what is doubtful; forgetting them."""

from __future__ import annotations

from itertools import islice
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from config.spreadsheets import KIND, csv_bytes
from fleet.models import Person
from schedules.pages.week.asking import planner
from schedules.rounds.ways.importing import forget_travel
from schedules.rounds.ways.looking import look_over
from schedules.rounds.ways.places import Places
from schedules.rounds.ways.telling import looked_groups, way_text

SHOWN_GAPS = 20
MOST_GAPS = 49_000
"""As many rows as an import reads."""


@require_safe
def travel_page(request: HttpRequest) -> HttpResponse:
    """For those who plan: which ways planning knows, and which it estimates."""
    person = planner(request)
    looked = look_over(Places.now())
    lacking = looked.wanted - len(looked.ways)
    gaps = [way_text(looked, way) for way in islice(looked.gaps(), SHOWN_GAPS)]
    context = {
        "has_ways": bool(looked.ways or looked.moved), "told": list(looked_groups(looked)),
        "gaps": gaps, "more_gaps": lacking - len(gaps),
        "may_forget": person.role == Person.Role.MANAGER,
    }  # fmt: skip
    return render(request, "schedules/travel.html", context)


@require_safe
def travel_gaps(request: HttpRequest) -> HttpResponse:
    """The ways that lack, as a file to be filled in and imported."""
    planner(request)
    looked = look_over(Places.now())
    rows = ([*map(looked.places.name, way), "", ""] for way in islice(looked.gaps(), MOST_GAPS))
    answer = HttpResponse(csv_bytes(["From", "To", "Minutes", "Km"], rows), content_type=KIND)
    answer.headers["Content-Disposition"] = 'attachment; filename="travel-gaps.csv"'
    return answer


@require_POST
def forget_ways(request: HttpRequest) -> HttpResponse:
    """For managers: plan by great circles again."""
    by: Any = request.user
    if by.role != Person.Role.MANAGER:
        raise Http404
    count = forget_travel(by=by)
    messages.success(request, _("{count} travel times forgotten.").format(count=count))
    return redirect("travel_page")
