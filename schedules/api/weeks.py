"""A week's rounds through the API: all for those who plan, their own for technicians."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework.exceptions import NotFound
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from config.api.edits import TaggedMixin
from config.api.filters import Filter, NamedFilters
from schedules.api import examples
from schedules.api.answers import Told
from schedules.api.week_shapes import WeekRoundsTold
from schedules.models import DRAFT, PlanVersion, WeekPlan
from schedules.office import office
from schedules.rounds.clocks import week_named
from schedules.rounds.drafts import latest_published
from schedules.rounds.errors import WeekPlanError
from schedules.rounds.sheet import LeftLine, WeekSheet, as_json, left_json, round_json
from visits.api.examples import told

DRAFTS = "draft"


def _read_version(text: str) -> int:
    if text == DRAFTS:
        return DRAFT
    if not text.isascii() or not text.isdigit() or len(text) > 5 or int(text) == DRAFT:
        raise ValueError(f"no such version; give a published one's number, or {DRAFTS}")
    return int(text)


class WeekRoundsView(TaggedMixin, GenericAPIView[WeekPlan]):
    """One version of a week."""

    pagination_class = None
    serializer_class = WeekRoundsTold
    filters = {
        "version": Filter(
            _read_version,
            lambda values, number: {**values, "version": number},
            "A published version's number, or `draft`; without it, what was published last.",
            {"type": "string", "pattern": "^([1-9][0-9]{0,4}|draft)$"},
        )
    }

    @extend_schema(
        operation_id="week_rounds",
        responses=WeekRoundsTold,
        examples=[told("A week", examples.WEEK)],
    )
    def get(self, request: Request, week: str, *args: Any, **kwargs: Any) -> Response:
        """Who goes where in an ISO week such as 2026-W50, in what order and why.

        Technicians are told their own rounds of published versions, and nothing else of the week;
        owners have no such address.  `If-None-Match` with the ETag is answered 304 while nothing
        changed.
        """
        person: Any = request.user
        asked = NamedFilters().filter_queryset(request, {}, self)
        if not person.works_here:
            raise NotFound
        version = _version(week, asked.get("version"), drafts=person.plans)
        sheet = WeekSheet(version)
        return self._told(_all(sheet) if person.plans else _own(sheet, person.pk), request)


def _version(week: str, number: int | None, *, drafts: bool) -> PlanVersion:
    try:
        plan = WeekPlan.objects.filter(monday=week_named(week)).first()
    except WeekPlanError:
        plan = None
    if plan is None or (number == DRAFT and not drafts):
        raise NotFound
    if number is None:
        version = latest_published(plan)
    else:
        version = plan.versions.filter(number=number).first()
    if version is None:
        raise NotFound
    return version


def _all(sheet: WeekSheet) -> Told:
    return {
        **as_json(sheet),
        **_frame(sheet),
        "left_out": [_left(line) for line in sheet.left_out],
    }


def _left(line: LeftLine) -> Told:
    """Without the numbers of the reason, which its text has in words."""
    known = left_json(line)
    return {name: known[name] for name in ("site", "reason", "text", "required", "fans")}


def _own(sheet: WeekSheet, technician: int) -> Told:
    """What one technician does, and nothing of what others do or what nobody does."""
    own = [row for row in sheet.rounds if row.technician_id == technician]
    return {
        **_frame(sheet),
        "revision": None,
        "figures": None,
        "rounds": [round_json(sheet, row) for row in own],
        "left_out": [],
        "overload": None,
    }


def _frame(sheet: WeekSheet) -> Told:
    version = sheet.version
    return {
        "week": str(version.plan),
        "version": version.number or None,
        "published_at": version.published_at,
        "time_zone": office().zone.key,
    }
