"""Which week and version a page is of, and that who asks plans."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

from django.http import Http404, HttpRequest

from fleet.models import Person
from schedules.models import PlannedRound, PlanVersion, WeekPlan
from schedules.rounds.clocks import week_named
from schedules.rounds.drafts import standing_version
from schedules.rounds.errors import WeekPlanError
from schedules.rounds.gathering import clock_of


def planner(request: HttpRequest) -> Person:
    """Who asks; for those who do not plan there is no such page."""
    person: Any = request.user
    if not person.plans:
        raise Http404
    return person


def monday_named(week: str) -> date:
    """The Monday of the week in an address."""
    try:
        return week_named(week)
    except WeekPlanError as error:
        raise Http404(str(error)) from error


def version_asked(plan: WeekPlan, asked: str | None) -> PlanVersion | None:
    """The version asked for, else the draft, else what was published last; None for no plan."""
    if plan.pk is None:
        return None
    if asked is None:
        return standing_version(plan)
    number = int(asked) if asked.isascii() and asked.isdigit() and len(asked) < 6 else 0
    found = plan.versions.filter(number=number).first() if number else None
    if found is None:
        raise Http404
    return found


def week_at_hand(now: datetime) -> date:
    """The Monday of the week to look at: this one on its Monday and while rounds of it lie ahead.

    Afterwards it is the next one that wants planning.
    """
    today = clock_of(now.date(), now).today
    monday = today - timedelta(days=today.weekday())
    ahead = PlannedRound.objects.filter(version__plan__monday=monday, day__gte=today)
    return monday if today == monday or ahead.exists() else monday + timedelta(days=7)
