"""Events between visits, read back: listed newest first, and one."""

from __future__ import annotations

from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework import generics
from rest_framework.request import Request
from rest_framework.response import Response

from config.api.filters import by_choice, by_day, by_flag, by_id
from fleet.models import Fan, Site
from visits.api.examples import CLEANED, told
from visits.api.shapes import EventRecord
from visits.api.visits import RECEIVED, ReceivedOrder, and_superseded
from visits.api.whole import name_of, tell_fan
from visits.models import Event

TOLD = (
    "id", "kind", "started_on", "started_minute", "ended_on", "ended_minute", "crew",
    "places_cleaned", "places_not_cleaned", "wheel_cleaned", "resets", "running_on", "note",
    "correction_reason", "received_at",
)  # fmt: skip


def touching(rows: Any, fan_id: int) -> Any:
    """Events of a fan, of its system, of its whole site, or for which it was tipped."""
    fan = Fan.objects.filter(pk=fan_id).order_by()
    tipped = Event.tipped_fans.through.objects.filter(fan=fan_id, event=OuterRef("pk"))
    of_system = Q(system__in=fan.values("system"))
    of_site = Q(system=None, site__in=fan.values("site"))
    return rows.filter(Q(fan=fan_id) | Exists(tipped) | Q(fan=None) & (of_system | of_site))


EVENT_FILTERS = {
    "site": by_id("site", "Events at one site.", Site.objects.visible_to),
    "fan": by_id(touching, "Events that touched one fan.", Fan.objects.visible_to),
    "kind": by_choice("kind", Event.KINDS, "Events of one kind."),
    "ended_after": by_day("ended_on__gte", "Events that ended on or after a local day."),
    "ended_before": by_day("ended_on__lt", "Events that ended before a local day."),
    "received_since": RECEIVED,
    "superseded": by_flag(and_superseded, "True: also events that a correction has replaced."),
}


def tell_event(event: Event) -> dict[str, Any]:
    """An event; what it touches comes with it."""
    after = getattr(event, "superseded_by", None)
    return {
        **{name: getattr(event, name) for name in TOLD},
        "site": {"id": event.site_id, "name": event.site.name},
        "system": {"id": event.system_id, "name": event.system.name} if event.system else None,
        "fan": tell_fan(event.fan) if event.fan else None,
        "tipped": [tell_fan(fan) for fan in event.tipped_fans.all()],
        "recorded_by": name_of(event.recorded_by),
        "supersedes": event.supersedes_id,
        "superseded_by": after.pk if after else None,
    }


def _shown(rows: QuerySet[Event]) -> QuerySet[Event]:
    joined = rows.select_related("site", "system", "fan", "recorded_by", "superseded_by")
    return joined.prefetch_related("tipped_fans")


class EventListView(ReceivedOrder, generics.GenericAPIView[Event]):
    """Events listed."""

    serializer_class = EventRecord
    in_time = ("-ended_on", "pk")
    filters = EVENT_FILTERS

    def get_queryset(self) -> QuerySet[Event]:
        visible = Event.objects.visible_to(self.request.user)
        return _shown(visible if "superseded" in self.request.query_params else visible.standing())

    @extend_schema(responses=EventRecord(many=True), examples=[told("A cleaning", CLEANED)])
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Events, newest first; those that a correction replaced only when asked for."""
        page = self.paginate_queryset(self.filter_queryset(self.get_queryset()))
        return self.get_paginated_response([tell_event(event) for event in page or ()])


class EventView(generics.GenericAPIView[Event]):
    """One event."""

    lookup_field = "id"
    serializer_class = EventRecord

    def get_queryset(self) -> QuerySet[Event]:
        return _shown(Event.objects.visible_to(self.request.user))

    @extend_schema(responses=EventRecord, examples=[told("A cleaning", CLEANED)])
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """An event and what it touched."""
        return Response(tell_event(self.get_object()))
