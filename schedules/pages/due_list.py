"""The first page: which fans are due, by when, and why."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from fleet.models import Person, Site
from schedules.due.lists import (
    PAGE,
    DueFilters,
    PageKey,
    PageKeyError,
    count_due,
    due_page,
    filtered,
    undated,
)
from schedules.due.local_days import LocalDays, days_at, same_day
from schedules.models import DueState
from schedules.pages.forms import DueListForm
from schedules.pages.lines import show_sections
from schedules.wording import dateless_text

MOST_UNDATED = 20


@require_safe
def due_list(request: HttpRequest) -> HttpResponse:
    """Fans somebody may see, by section and day; a wrong filter or page key is told, with 400."""
    person: Any = request.user
    form = DueListForm(request.GET, person=person)
    if not form.is_valid():
        return _told(request, form, status=400)
    try:
        after = PageKey.parse(request.GET["after"]) if request.GET.get("after") else None
    except PageKeyError as error:
        return _told(request, form, status=400, problem=str(error))
    days = _days(person, form)
    states = DueState.objects.visible_to(person)
    page = due_page(states, days=days, filters=form.filters, after=after, size=PAGE)
    told: dict[str, Any] = {
        "sections": show_sections(page.lines, person),
        "next": _next(request, page.next_key),
    }
    if after is None:
        told |= _first_page(states, form.filters, days)
    return _told(request, form, **told)


def _told(
    request: HttpRequest, form: DueListForm, *, status: int = 200, **told: Any
) -> HttpResponse:
    context = {"form": form, "is_narrowed": bool(request.GET), **told}
    return render(request, "schedules/due_list.html", context, status=status)


def _days(person: Person, form: DueListForm) -> LocalDays:
    """Today in each zone of the sites, or the one day that was asked for."""
    zones = Site.objects.visible_to(person).zones()
    on = form.cleaned_data["on"]
    return same_day(on, zones) if on else days_at(timezone.now(), zones)


def _first_page(states: Any, filters: DueFilters, days: LocalDays) -> dict[str, Any]:
    """How many there are, and the fans without any day, said once above the list."""
    dateless = list(undated(filtered(states, filters, days))[: MOST_UNDATED + 1])
    return {
        "counts": count_due(filtered(states, filters, days), days),
        "undated": [(state, dateless_text(state)) for state in dateless[:MOST_UNDATED]],
        "undated_more": len(dateless) > MOST_UNDATED,
    }


def _next(request: HttpRequest, key: PageKey | None) -> str:
    """The address of the next page, with the filters kept."""
    if key is None:
        return ""
    asked = {name: value for name, value in request.GET.items() if value and name != "after"}
    return "?" + urlencode({**asked, "after": str(key)})
