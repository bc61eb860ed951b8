"""Sites: where roofs are and how to get up there."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.conf import settings
from drf_spectacular.utils import OpenApiExample, extend_schema_serializer

from config.api.filters import by_id
from config.api.sparse import SparseListMixin
from fleet.api.fields import SpansField, bounds
from fleet.api.register import (
    RegisterSerializer,
    RowEntryView,
    RowView,
    by_history,
    changed_since,
)
from fleet.models import Owner, Person, Site
from fleet.services.sites import edit_site, enter_site

SITE = {
    "owner": 7, "name": "Tannevale Cattle Market", "address": "1 Cattle Market, Tannevale",
    "country": "US", "latitude": 41.62, "longitude": -88.2, "time_zone": "America/Chicago",
    "surroundings": "inland", "roof_access_hours": "Mon-Fri 07:00-15:00",
    "fan_stop_hours": "Mon-Sun 06:00-09:30", "access_minutes": 15,
    "access_notes": "hatch by the pantry", "lift_notes": "",
    "closed_hour_cost": "650.00", "closed_hours": 6.0, "lapsed_week_cost": None,
    "repair_cost": None, "replacement_cost": "5200.00",
}  # fmt: skip


@extend_schema_serializer(
    examples=[
        OpenApiExample("A site", {"id": 12, **SITE}, response_only=True),
        OpenApiExample("A site to enter", SITE, request_only=True),
    ]
)
class SiteSerializer(RegisterSerializer[Site]):
    """One kitchen building; hours are written as in Mon-Fri 7:00-15:00, null where nobody knows."""

    once = ("owner",)
    roof_access_hours = SpansField(required=False, allow_null=True)
    fan_stop_hours = SpansField(required=False, allow_null=True)

    class Meta:
        model = Site
        fields = [
            "id", "owner", "name", "address", "country", "latitude", "longitude", "time_zone",
            "surroundings", "roof_access_hours", "fan_stop_hours", "access_minutes",
            "access_notes", "lift_notes", "closed_hour_cost", "closed_hours", "lapsed_week_cost",
            "repair_cost", "replacement_cost",
        ]  # fmt: skip
        extra_kwargs = bounds("site") | {
            "country": {"min_length": 2, "max_length": 2},
            "closed_hour_cost": {"help_text": f"an hour closed costs this [{settings.CURRENCY}]"},
            "closed_hours": {"help_text": "hours closed when a fan fails [h]"},
            "repair_cost": {"help_text": f"a repair costs this [{settings.CURRENCY}]"},
            "replacement_cost": {
                "help_text": f"another fan, installed, costs this [{settings.CURRENCY}]"
            },
            "lapsed_week_cost": {
                "help_text": f"a week without a code inspection costs this [{settings.CURRENCY}]"
            },
        }
        validators: list[Any] = []


class SiteListView(SparseListMixin, RowEntryView):
    """Sites."""

    model, serializer_class, row_address = Site, SiteSerializer, "api_site"
    filters = {
        "owner": by_id("owner", "of this owner", Owner.objects.visible_to),
        "changed_since": changed_since(by_history),
    }
    says = {"GET": "Sites you may see.", "POST": "Enter a site of an owner."}

    def enter(self, values: dict[str, Any], by: Person, now: datetime) -> Site:
        return enter_site(owner=values.pop("owner"), facts=values, by=by, now=now)


class SiteView(RowView):
    """One site."""

    model, serializer_class = Site, SiteSerializer
    says = {
        "GET": "One site.",
        "PATCH": "Correct what is known of a site; its fans' dates are reckoned anew.",
    }

    def change(self, row: Site, values: dict[str, Any], by: Person, now: datetime) -> Site:
        return edit_site(site=row, facts=values, by=by, now=now)
