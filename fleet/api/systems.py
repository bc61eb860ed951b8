"""Exhaust systems: what cooks under them, when, and when their hoods are cleaned."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema_serializer
from rest_framework import serializers

from config.api.filters import by_id
from fleet.api.fields import DayField, HoursField, ListField, WordField, bounds
from fleet.api.register import (
    RegisterSerializer,
    RowEntryView,
    RowView,
    StrictSerializer,
    by_history,
    changed_since,
)
from fleet.models import ExhaustSystem, ExpectedCleaning, Owner, Person, Site
from fleet.models.systems import COOKING_CLASSES
from fleet.opening import Opening
from fleet.services.systems import edit_system, enter_system

SYSTEM = {
    "site": 12, "name": "Main line", "make_up_air_interlock": True, "fire_system_interlock": None,
    "cleaning_crew": "", "notes": "",
}  # fmt: skip
KITCHEN = {
    "cooking": [{"valid_from": "2025-01-01", "classes": ["high"]}],
    "hours": [{"valid_from": "2025-01-01", "hours": "Mon-Sat 10:00-23:00; Sun 11:00-21:00"}],
    "closed_days": ["2026-12-25"],
    "expected_cleanings": [{"day": "2026-06-14", "crew": "night crew"}],
}


@extend_schema_serializer(
    examples=[OpenApiExample("Classes", {"classes": ["high", "moderate"]}, request_only=True)]
)
class CookingSerializer(StrictSerializer):
    """What is cooked from a day on; the strictest class counts."""

    valid_from = DayField(read_only=True)
    classes = ListField(child=WordField(COOKING_CLASSES), min_length=1, max_length=4)


@extend_schema_serializer(
    examples=[
        OpenApiExample("Hours", {"hours": "Mon-Sat 10:00-23:00; Sun 11-21"}, request_only=True)
    ]
)
class RunningHoursSerializer(StrictSerializer):
    """When the kitchen runs from a day on."""

    valid_from = DayField(read_only=True)
    hours = HoursField(help_text="Mon-Sat 10:00-23:00; Sun 11-21, always, 18:00-02:00")

    def to_representation(self, instance: Any) -> dict[str, Any]:
        hours = Opening(instance.spans, always=instance.always)
        told = HoursField().to_representation(hours)
        return {"valid_from": instance.valid_from.isoformat(), "hours": told}


@extend_schema_serializer(
    examples=[OpenApiExample("Crew", {"crew": "night crew"}, request_only=True)]
)
class ExpectedCleaningSerializer(StrictSerializer, serializers.ModelSerializer[ExpectedCleaning]):
    """A hood cleaning that somebody has announced."""

    class Meta:
        model = ExpectedCleaning
        fields = ["day", "crew"]
        read_only_fields = ["day"]
        extra_kwargs = {"crew": {"max_length": 120, "help_text": "who comes"}}


@extend_schema_serializer(
    examples=[
        OpenApiExample("A system", {"id": 31, **SYSTEM, **KITCHEN}, response_only=True),
        OpenApiExample("A system to enter", SYSTEM, request_only=True),
    ]
)
class SystemSerializer(RegisterSerializer[ExhaustSystem]):
    """Hoods and duct served together; interlocks are null where nobody knows."""

    once = ("site",)
    cooking = CookingSerializer(many=True, read_only=True)
    hours = RunningHoursSerializer(many=True, read_only=True, source="operating")
    closed_days: Any = serializers.SlugRelatedField(slug_field="day", many=True, read_only=True)
    expected_cleanings = ExpectedCleaningSerializer(many=True, read_only=True)

    class Meta:
        model = ExhaustSystem
        fields = [
            "id", "site", "name", "make_up_air_interlock", "fire_system_interlock",
            "cleaning_crew", "notes", "cooking", "hours", "closed_days", "expected_cleanings",
        ]  # fmt: skip
        extra_kwargs = bounds("system", "notes")
        validators: list[Any] = []


OF_SYSTEM = ("cooking", "operating", "closed_days", "expected_cleanings")


class SystemListView(RowEntryView):
    """Exhaust systems."""

    model, serializer_class, row_address = ExhaustSystem, SystemSerializer, "api_system"
    fetched = OF_SYSTEM
    filters = {
        "owner": by_id("site__owner", "of this owner", Owner.objects.visible_to),
        "site": by_id("site", "on this site", Site.objects.visible_to),
        "changed_since": changed_since(by_history),
    }
    says = {"GET": "Exhaust systems of the sites you may see.",
            "POST": "Enter an exhaust system of a site."}  # fmt: skip

    def enter(self, values: dict[str, Any], by: Person, now: datetime) -> ExhaustSystem:
        return enter_system(site=values.pop("site"), facts=values, by=by, now=now)


class SystemView(RowView):
    """One exhaust system."""

    model, serializer_class, fetched = ExhaustSystem, SystemSerializer, OF_SYSTEM
    says = {
        "GET": "One exhaust system with its calendar.",
        "PATCH": "Correct what is known of a system; its calendar has addresses of its own.",
    }

    def change(self, row: ExhaustSystem, values: Any, by: Person, now: datetime) -> ExhaustSystem:
        return edit_system(system=row, facts=values, by=by, now=now)
