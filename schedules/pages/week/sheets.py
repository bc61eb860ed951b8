"""Round sheets for paper: all of a week or one; a technician sees their own, once published."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from fleet.models import Person
from schedules.models import DRAFT, PlanVersion, WeekPlan
from schedules.pages.week.asking import monday_named
from schedules.round_sheet.gathering import read_rounds
from schedules.round_sheet.words import round_sheets
from schedules.rounds.drafts import latest_published
from schedules.rounds.gathering import clock_of

KEYS = range(2**63)
"""What a key may be: databases fail on numbers beyond."""


@require_safe
def week_sheets(request: HttpRequest, week: str) -> HttpResponse:
    """Every round of a week; of a technician their own."""
    return _sheets(request, week)


@require_safe
def round_sheet(request: HttpRequest, week: str, technician: int, day: str) -> HttpResponse:
    """One technician's day."""
    return _sheets(request, week, technician=technician, day=_day_named(day))


def _sheets(request: HttpRequest, week: str, **which: Any) -> HttpResponse:
    plan = get_object_or_404(WeekPlan, monday=monday_named(week))
    version, which = _readable(request, plan, which)
    now = timezone.now()
    files = read_rounds(version, clock_of(plan.monday, now), **which)
    if not files.rounds:
        raise Http404
    context = {"plan": plan, "sheets": round_sheets(files), "now": now}
    return render(request, "schedules/week/sheets.html", context)


def _readable(
    request: HttpRequest, plan: WeekPlan, which: dict[str, Any]
) -> tuple[PlanVersion, dict[str, Any]]:
    """Any version for those who plan, 0 being the draft; without a number the one in force.

    A technician reads their own rounds of that one, nobody else's and no other.
    """
    person: Any = request.user
    if person.plans:
        asked = request.GET.get("version")
        version = _numbered(plan, asked) if asked else latest_published(plan) or _draft(plan)
    elif person.role == Person.Role.TECHNICIAN:
        version = latest_published(plan)
        if which.setdefault("technician", person.pk) != person.pk:
            raise Http404
    else:
        raise Http404
    if version is None or which.get("technician", 0) not in KEYS:
        raise Http404
    return version, which


def _numbered(plan: WeekPlan, asked: str) -> PlanVersion | None:
    is_number = asked.isascii() and asked.isdigit() and len(asked) < 6
    return plan.versions.filter(number=int(asked)).first() if is_number else None


def _draft(plan: WeekPlan) -> PlanVersion | None:
    return plan.versions.filter(number=DRAFT).first()


def _day_named(text: str) -> date:
    try:
        day = date.fromisoformat(text)
    except ValueError as error:
        raise Http404 from error
    if day.isoformat() != text:
        raise Http404
    return day
