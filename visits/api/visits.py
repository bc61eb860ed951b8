"""Visits read back: listed newest first, and one with everything that hangs on it."""

from __future__ import annotations

from typing import Any, ClassVar

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework import generics
from rest_framework.request import Request
from rest_framework.response import Response

from config.api.filters import by_choice, by_flag, by_id, by_instant
from fleet.models import Fan, Site
from visits.api.examples import LINE, WHOLE, told
from visits.api.shapes import VisitLine, VisitRecord
from visits.api.whole import tell_line, tell_visit
from visits.models import (
    Action,
    Check,
    Finding,
    MadeSafe,
    NotReached,
    PlateReading,
    Recommendation,
    SystemInspection,
    Visit,
)
from visits.payload.visit import KINDS

OF_FAN = (Check, Finding, Action, Recommendation, NotReached, MadeSafe, PlateReading)


def of_fan(rows: Any, fan_id: int) -> Any:
    """Visits that tell anything of a fan, or inspected its system."""
    parts = [m.objects.filter(fan=fan_id).order_by().values("visit") for m in OF_FAN]
    inspected = SystemInspection.objects.filter(system__fans=fan_id).order_by().values("visit")
    return rows.filter(pk__in=inspected.union(*parts))


def and_superseded(rows: Any, wanted: bool) -> Any:
    """Rows that a correction has replaced as well, or standing ones only."""
    return rows if wanted else rows.standing()


RECEIVED = by_instant(
    "received_at__gte",
    "What came in at or after an instant, in the order in which it came, however long ago it "
    "happened: so a device learns what is new. Ask from some minutes before your last answer on.",
)
VISIT_FILTERS = {
    "site": by_id("site", "Visits of one site.", Site.objects.visible_to),
    "fan": by_id(of_fan, "Visits that tell anything of one fan.", Fan.objects.visible_to),
    "kind": by_choice("kind", KINDS, "Visits of one kind."),
    "began_after": by_instant("began_at__gte", "Visits begun at or after an instant."),
    "began_before": by_instant("began_at__lt", "Visits begun before an instant."),
    "received_since": RECEIVED,
    "superseded": by_flag(and_superseded, "True: also visits that a correction has replaced."),
}


class ReceivedOrder:
    """For a list view: rows asked for by ``received_since`` come as they were received."""

    in_time: ClassVar[tuple[str, ...]]

    @property
    def keyset(self) -> tuple[str, ...]:
        """The order of the page; a device that asks for news must miss nothing between pages."""
        request: Any = getattr(self, "request", None)
        asked = request is not None and "received_since" in request.query_params
        return ("received_at", "pk") if asked else self.in_time


class VisitListView(ReceivedOrder, generics.GenericAPIView[Visit]):
    """Visits listed."""

    serializer_class = VisitLine
    in_time = ("-began_at", "pk")
    filters = VISIT_FILTERS

    def get_queryset(self) -> QuerySet[Visit]:
        visible = Visit.objects.visible_to(self.request.user)
        shown = visible if "superseded" in self.request.query_params else visible.standing()
        return shown.select_related("site", "technician", "superseded_by")

    @extend_schema(responses=VisitLine(many=True), examples=[told("A walk-through", LINE)])
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Visits, newest first; those that a correction replaced only when asked for."""
        page = self.paginate_queryset(self.filter_queryset(self.get_queryset()))
        return self.get_paginated_response([tell_line(visit) for visit in page or ()])


class VisitView(generics.GenericAPIView[Visit]):
    """One visit."""

    lookup_field = "id"
    serializer_class = VisitRecord

    def get_queryset(self) -> QuerySet[Visit]:
        visible = Visit.objects.visible_to(self.request.user)
        return visible.select_related("site", "technician", "recorded_by", "superseded_by")

    @extend_schema(responses=VisitRecord, examples=[told("A walk-through", WHOLE)])
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """A visit with its checks, findings, work, advice and answers, and what corrected it."""
        return Response(tell_visit(self.get_object()))
