"""A week's rounds to take along: as a table, and for a map."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from config.spreadsheets import KIND as TABLE
from schedules.models import DRAFT, PlanVersion, WeekPlan
from schedules.pages.week.asking import monday_named, planner, version_asked
from schedules.rounds.comparing import differences
from schedules.rounds.drafts import latest_published
from schedules.rounds.mapped import KIND as MAP
from schedules.rounds.mapped import geojson_of
from schedules.rounds.sheet import WeekSheet
from schedules.rounds.storing import rounds_of
from schedules.rounds.tabled import csv_of


@require_safe
def week_table(request: HttpRequest, week: str) -> HttpResponse:
    """The version that the page shows as CSV."""
    version = _version(request, week)
    answer = HttpResponse(csv_of(WeekSheet(version)), content_type=TABLE)
    return _named(answer, version, "csv")


@require_safe
def week_map(request: HttpRequest, week: str) -> HttpResponse:
    """The version that the page shows as GeoJSON."""
    version = _version(request, week)
    return _named(
        JsonResponse(geojson_of(WeekSheet(version)), content_type=MAP), version, "geojson"
    )


def _version(request: HttpRequest, week: str) -> PlanVersion:
    planner(request)
    plan = WeekPlan.objects.filter(monday=monday_named(week)).first()
    version = version_asked(plan, request.GET.get("version")) if plan else None
    if version is None:
        raise Http404
    return _as_published(version)


def _as_published(version: PlanVersion) -> PlanVersion:
    """The published version that a draft stands as: technicians go by its number."""
    latest = latest_published(version.plan) if version.number == DRAFT else None
    if latest is None or differences(rounds_of(latest), rounds_of(version)):
        return version
    return latest


def _named(answer: HttpResponse, version: PlanVersion, kind: str) -> HttpResponse:
    """As a file that says which week and version it is of: ``rounds-2026-w50-draft.csv``."""
    name = slugify(f"rounds {version}")
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}.{kind}"'
    return answer
