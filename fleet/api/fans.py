"""Fans: positions on roofs, each with its machine in place and what feeds it."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db.models import Q
from drf_spectacular.utils import (
    OpenApiExample,
    extend_schema,
    extend_schema_field,
    extend_schema_serializer,
)
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from config.api.filters import by_id, by_text
from config.api.sparse import SparseListMixin
from fleet.api.fields import KINDS, WordField, bounds
from fleet.api.machines import PLATE, MachineSerializer
from fleet.api.register import (
    RegisterSerializer,
    RowEntryView,
    RowView,
    StrictSerializer,
    changed_since,
)
from fleet.models import ExhaustSystem, Fan, Feed, Machine, Owner, Person, Site
from fleet.services.fans import edit_fan, enter_fan
from fleet.services.feeds import FEED_FIELDS

FAN = {"system": 31, "tag": "EF-1", "place": "north of the hatch", "east_m": 1.5,
       "north_m": 6.0, "entered_on": "2025-01-06",
       "hour_meter_digits": 6, "notes": "", "curb_size": "26 in square",
       "rotation": "clockwise"}  # fmt: skip
FEED = {"panel": "RP-2", "circuit": "14-16-18", "poles": 3, "breaker_a": 15.0,
        "service_volts": 208.0, "connected_volts": "208-230", "connected_confirmed": True,
        "control": "none", "switch": "3-pole toggle"}  # fmt: skip


class FeedSerializer(StrictSerializer, serializers.ModelSerializer[Feed]):
    """What feeds and controls a fan from a day on, null since always.

    ``connected_volts`` is the plate's rating in use, ``connected_confirmed`` that somebody saw it
    at the connections.
    """

    serializer_field_mapping = {**serializers.ModelSerializer.serializer_field_mapping, **KINDS}
    serializer_choice_field = WordField

    class Meta:
        model = Feed
        fields = ["valid_from", *(f.name for f in Feed._meta.concrete_fields
                                  if f.name in FEED_FIELDS)]  # fmt: skip
        read_only_fields = ["valid_from"]
        extra_kwargs = bounds("feed")
        validators: list[Any] = []


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "A fan",
            {
                "id": 41, "owner": 7, "site": 12, **FAN, "onboarding_on": None,
                "machine": {"id": 64, "fan": 41, "removed_on": None, "first_here": True, **PLATE},
                "feeds": [{"valid_from": None, **FEED}],
            },
            response_only=True,
        ),
        OpenApiExample("A correction", {"place": "south of the hatch"}, request_only=True),
    ]
)  # fmt: skip
class FanSerializer(RegisterSerializer[Fan]):
    """A position with a tag; ``machine`` is the one in place, null where none is."""

    once = ("system", "entered_on")
    owner = serializers.IntegerField(source="site.owner_id", read_only=True)
    machine: Any = serializers.SerializerMethodField()
    feeds = FeedSerializer(many=True, read_only=True)

    class Meta:
        model = Fan
        fields = [
            "id", "owner", "site", "system", "tag", "place", "east_m", "north_m", "entered_on",
            "onboarding_on",
            "hour_meter_digits", "notes", "curb_size", "rotation", "machine", "feeds",
        ]  # fmt: skip
        read_only_fields = ["site", "onboarding_on"]
        extra_kwargs = bounds("fan", "notes") | {
            "entered_on": {"required": False, "help_text": "left out: today at the site"},
            "hour_meter_digits": {"min_value": 3, "max_value": 9},
        }
        validators: list[Any] = []

    @extend_schema_field(MachineSerializer(allow_null=True))
    def get_machine(self, fan: Fan) -> Any:
        in_place = next((m for m in fan.machines.all() if m.removed_on is None), None)
        return MachineSerializer(in_place).data if in_place else None


@extend_schema_serializer(
    examples=[
        OpenApiExample("A fan to enter", {**FAN, "machine": PLATE, "feed": FEED}, request_only=True)
    ]
)
class EnteredFanSerializer(FanSerializer):
    """A fan taken under care, with what is known of its machine and feed."""

    machine = MachineSerializer(required=False)
    feed = FeedSerializer(required=False)

    class Meta(FanSerializer.Meta):
        fields = ["system", "tag", "place", "east_m", "north_m", "entered_on", "hour_meter_digits",
                  "notes", "curb_size", "rotation", "machine", "feed"]  # fmt: skip
        read_only_fields: list[str] = []


def _changed(rows: Any, since: datetime) -> Any:
    """Fans whose own facts, machine or feed changed."""
    histories: dict[str, Any] = {"id": Fan.history, "fan_id": Machine.history}
    told = Q(pk__in=Feed.history.filter(history_date__gte=since).values("fan_id"))
    for name, history in histories.items():
        told |= Q(pk__in=history.filter(history_date__gte=since).values(name))
    return rows.filter(told)


class FanListView(SparseListMixin, RowEntryView):
    """Fans."""

    model, serializer_class, row_address = Fan, FanSerializer, "api_fan"
    entering = EnteredFanSerializer
    joined, fetched = ("site",), ("machines", "feeds")
    filters = {
        "owner": by_id("site__owner", "of this owner", Owner.objects.visible_to),
        "site": by_id("site", "on this site", Site.objects.visible_to),
        "system": by_id("system", "of this exhaust system", ExhaustSystem.objects.visible_to),
        "tag": by_text("tag", "with exactly this tag", 40),
        "serial": by_text(
            lambda rows, serial: rows.filter(
                pk__in=Machine.objects.filter(serial=serial).values("fan")
            ),
            "where a machine with exactly this serial number is or was",
            80,
            "machines__serial",
        ),
        "changed_since": changed_since(_changed),
    }
    says = {"GET": "Fans you may see, each with its machine in place and its feeds.",
            "POST": "Take a fan under care: position, machine and feed at once."}  # fmt: skip

    @extend_schema(request=EnteredFanSerializer)
    def post(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        return super().post(request, *args, **kwargs)

    def enter(self, values: dict[str, Any], by: Person, now: datetime) -> Fan:
        system, plate = values.pop("system"), values.pop("machine", {})
        return enter_fan(
            system=system,
            tag=values.pop("tag"),
            entered_on=values.pop("entered_on", now.astimezone(system.site.zone).date()),
            installed_on=plate.pop("installed_on", None),
            plate=plate,
            feed=values.pop("feed", None),
            facts=values,
            by=by,
            now=now,
        )


class FanView(RowView):
    """One fan."""

    model, serializer_class = Fan, FanSerializer
    joined, fetched = ("site",), ("machines", "feeds")
    says = {
        "GET": "One fan with its machine in place and its feeds.",
        "PATCH": "Correct what is known of a position; its machine has an address of its own.",
    }

    def change(self, row: Fan, values: dict[str, Any], by: Person, now: datetime) -> Fan:
        return edit_fan(fan=row, facts=values, by=by, now=now)
