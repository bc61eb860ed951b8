"""Which week a page is of, and that who asks plans."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

from django.http import Http404, HttpRequest

from fleet.models import Person
from schedules.models import PlannedRound
from schedules.rounds.clocks import week_named
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


def week_at_hand(now: datetime) -> date:
    """The Monday of the week to look at: this one on its Monday and while rounds of it lie ahead.

    Afterwards it is the next one that wants planning.
    """
    today = clock_of(now.date(), now).today
    monday = today - timedelta(days=today.weekday())
    ahead = PlannedRound.objects.filter(version__plan__monday=monday, day__gte=today)
    return monday if today == monday or ahead.exists() else monday + timedelta(days=7)
