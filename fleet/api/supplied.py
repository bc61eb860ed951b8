"""Fans that owners supply, on their way to a position."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema_serializer

from config.api.filters import by_id
from fleet.api.register import (
    RegisterSerializer,
    RowEntryView,
    RowView,
    by_history,
    changed_since,
)
from fleet.models import Fan, Person, Site, SuppliedFan
from fleet.services.supplied import SUPPLIED_FIELDS, edit_supplied, enter_supplied

SUPPLIED = {
    "fan": 41, "what": "upblast, 18 in wheel", "supplier": "the owner's own dealer",
    "ordered_on": "2026-02-02", "expected_on": "2026-03-06", "arrived_on": None,
    "kept_at": "dry store behind the kitchen", "installer": "us", "installer_name": "", "note": "",
    "withdrawn_on": None, "withdrawn_reason": "",
}  # fmt: skip
ORDERED = [f.name for f in SuppliedFan._meta.concrete_fields if f.name in SUPPLIED_FIELDS]


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "A fan on its way",
            {"id": 5, "entered_on": "2026-02-01", **SUPPLIED},
            response_only=True,
        ),
        OpenApiExample("A fan that its owner supplies", SUPPLIED, request_only=True),
    ]
)
class SuppliedFanSerializer(RegisterSerializer[SuppliedFan]):
    """Another machine for the position `fan` that its owner supplies.

    It is done once a replacement visit and a start-up check say so; `withdrawn_on` calls it off.
    """

    once = ("fan",)
    company_only = ("note",)

    class Meta:
        model = SuppliedFan
        fields = ["id", "fan", "entered_on", *ORDERED]
        read_only_fields = ["entered_on"]
        validators: list[Any] = []


class SuppliedFanListView(RowEntryView):
    """Fans that owners supply."""

    model, serializer_class, row_address = SuppliedFan, SuppliedFanSerializer, "api_supplied_fan"
    filters = {
        "fan": by_id("fan", "for this fan's position", Fan.objects.visible_to),
        "site": by_id("fan__site", "at this site", Site.objects.visible_to),
        "changed_since": changed_since(by_history),
    }
    says = {
        "GET": "Fans that owners supply, at sites you may see.",
        "POST": "Note that an owner supplies another machine for a position.",
    }

    def enter(self, values: dict[str, Any], by: Person, now: datetime) -> SuppliedFan:
        return enter_supplied(fan=values.pop("fan"), facts=values, by=by, now=now)


class SuppliedFanView(RowView):
    """One fan that an owner supplies."""

    model, serializer_class = SuppliedFan, SuppliedFanSerializer
    says = {
        "GET": "One fan that an owner supplies.",
        "PATCH": "Say that it was ordered, came, who installs it, or that it is called off.",
    }

    def change(
        self, row: SuppliedFan, values: dict[str, Any], by: Person, now: datetime
    ) -> SuppliedFan:
        return edit_supplied(row=row, facts=values, by=by, now=now)
