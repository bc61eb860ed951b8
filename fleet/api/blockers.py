"""Blockers: what a visit waits for."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema_serializer

from config.api.filters import by_choice, by_id
from fleet.api.register import (
    RegisterSerializer,
    RowEntryView,
    RowView,
    by_history,
    changed_since,
)
from fleet.models import Blocker, Person, Site
from fleet.services.blockers import edit_blocker, enter_blocker

BLOCKER = {
    "site": 12, "fan": None, "kind": "lift", "note": "ordered with the yard, 12 m boom",
    "since_on": "2026-02-16", "cleared_on": "2026-03-04",
}  # fmt: skip


@extend_schema_serializer(
    examples=[
        OpenApiExample("A blocker", {"id": 31, **BLOCKER}, response_only=True),
        OpenApiExample("A blocker to enter", BLOCKER, request_only=True),
    ]
)
class BlockerSerializer(RegisterSerializer[Blocker]):
    """What visits to a site, or to one `fan` on it, wait for, from `since_on` until `cleared_on`.

    `cleared_on` may lie ahead; null where nobody knows.
    """

    once = ("site",)

    class Meta:
        model = Blocker
        fields = ["id", "site", "fan", "kind", "note", "since_on", "cleared_on"]
        validators: list[Any] = []


class BlockerListView(RowEntryView):
    """Blockers."""

    model, serializer_class, row_address = Blocker, BlockerSerializer, "api_blocker"
    filters = {
        "site": by_id("site", "at this site", Site.objects.visible_to),
        "kind": by_choice("kind", tuple(Blocker.Kind.values), "of this kind"),
        "changed_since": changed_since(by_history),
    }
    says = {
        "GET": "What visits to sites you may see wait for, cleared or not.",
        "POST": "Note what visits to a site, or to one fan on it, wait for.",
    }

    def enter(self, values: dict[str, Any], by: Person, now: datetime) -> Blocker:
        return enter_blocker(site=values.pop("site"), facts=values, by=by, now=now)


class BlockerView(RowView):
    """One blocker."""

    model, serializer_class = Blocker, BlockerSerializer
    says = {"GET": "One blocker.", "PATCH": "Correct a blocker, or say when it is cleared."}

    def change(self, row: Blocker, values: dict[str, Any], by: Person, now: datetime) -> Blocker:
        return edit_blocker(blocker=row, facts=values, by=by, now=now)
