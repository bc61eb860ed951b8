"""A week's round sheet: who goes where, in what order, why; what is left out; what changed."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from fleet.models import Site
from schedules.models import DRAFT, AskedPlan, PlanVersion, WeekPlan
from schedules.pages.week.answering import Answer, place_of, take_answer
from schedules.pages.week.asking import monday_named, planner, version_asked, week_at_hand
from schedules.pages.week.attempts import mark_attempts
from schedules.pages.week.drawing import lettered, show_drawing
from schedules.pages.week.faraway import far_sites, far_texts
from schedules.pages.week.glance import show_away, show_glance
from schedules.pages.week.showing import (
    short_span,
    show_days,
    show_left_out,
    show_past,
)
from schedules.rounds.clocks import WeekClock
from schedules.rounds.gathering import clock_of
from schedules.rounds.reading import read_crew, read_left
from schedules.rounds.sheet import WeekSheet
from schedules.rounds.telling import overload_texts, sums_texts
from schedules.rounds.ways.standing import ways_texts
from schedules.weeks import iso_week
from schedules.wording.bookings import technician_name
from schedules.wording.rounds import when_told_text

DRAWN = "week_drawn"
LONGEST_CHOICE = 10
"""A day, the longest that may be chosen."""


@require_safe
def week_now(request: HttpRequest) -> HttpResponse:
    """On to the week at hand, whose address names it."""
    planner(request)
    return redirect("week_page", iso_week(week_at_hand(timezone.now())))


@require_safe
def week_page(request: HttpRequest, week: str) -> HttpResponse:
    """The draft, to be changed; with ``?version=2`` that published version, to be read."""
    planner(request)
    monday = monday_named(week)
    if week != iso_week(monday):
        return redirect("week_page", iso_week(monday))
    plan = WeekPlan.objects.filter(monday=monday).first() or WeekPlan(monday=monday)
    clock = clock_of(monday, timezone.now())
    context = _frame(request, plan, clock)
    version = version_asked(plan, request.GET.get("version"))
    if version is not None:
        context |= _sheet(request, version, clock, context["answer"])
    return render(request, "schedules/week/page.html", context)


@require_safe
def week_asked(request: HttpRequest, week: str) -> HttpResponse:
    """For a page that waits: nothing while its week is searched, then on to what came of it."""
    planner(request)
    monday = monday_named(week)
    if AskedPlan.objects.filter(plan__monday=monday, done_at=None).exists():
        return HttpResponse(status=204)
    return redirect(reverse("week_page", args=[iso_week(monday)]) + "#state")


def _frame(request: HttpRequest, plan: WeekPlan, clock: WeekClock) -> dict[str, Any]:
    """What stands on the page whether the week is planned or not."""
    asked = AskedPlan.objects.filter(plan__monday=plan.monday).select_related("by").first()
    return {
        "plan": plan,
        "asked": asked,
        "asked_by": technician_name(asked.by) if asked else "",
        "span": short_span(plan),
        "before": iso_week(plan.monday - timedelta(days=7)),
        "after": iso_week(plan.monday + timedelta(days=7)),
        "is_past": not clock.days,
        "answer": take_answer(request, str(plan)),
    }


def _drawn(request: HttpRequest, week: str) -> str | None:
    """What of the week to draw: as asked now, else as last asked, also after a change."""
    if "drawn" in request.GET:
        request.session[DRAWN] = {week: request.GET["drawn"][:LONGEST_CHOICE]}
    chosen: str | None = request.session.get(DRAWN, {}).get(week)
    return chosen


def _sites(sheet: WeekSheet) -> set[Site]:
    stops = (stop.site for row in sheet.rounds for stop in row.stops.all())
    return {*stops, *(line.site for line in sheet.left_out)}


def _sheet(
    request: HttpRequest, version: PlanVersion, clock: WeekClock, answer: Answer | None
) -> dict[str, Any]:
    sheet, is_draft = WeekSheet(version), version.number == DRAFT
    crew = read_crew(clock)
    left_out = show_left_out(sheet, request.user)
    far = far_sites(sheet, crew.people)
    letters = {each.row.pk: each.letter for each in lettered(sheet.rounds)}
    days = show_days(sheet, clock, letters, is_draft=is_draft)
    mark_attempts(days, sheet, clock)
    return {
        "version": version,
        "is_draft": is_draft,
        "may_change": is_draft and bool(clock.days),
        "days": days,
        "glance": show_glance(days, crew, clock),
        "away": list(show_away(crew, read_left(clock), clock)),
        "ways": list(ways_texts(_sites(sheet), crew.people, clock)),
        "when_told": when_told_text(),
        "drawing": show_drawing(sheet, _drawn(request, str(version.plan)), clock.today, far),
        "far": list(far_texts(far, request.user)),
        "answer_place": place_of(answer, days),
        "swapped": request.GET.get("swap", ""),
        "troubled": [each for day in days for each in day["rounds"] if each["troubled"]],
        "people": crew.people,
        "days_ahead": clock.days,
        "sums": list(sums_texts(sheet)),
        "left_out": left_out,
        "must_not_wait": sum(each["required"] for each in left_out),
        "overload": list(overload_texts(sheet)),
        **show_past(sheet, clock),
    }
