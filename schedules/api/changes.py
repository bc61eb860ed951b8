"""What moved since an instant: each change of a due day or of the rule that gives it."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from config.api.filters import by_id, by_instant
from fleet.models import Fan, Site
from schedules.api import examples
from schedules.api.answers import Told
from schedules.api.shapes import ChangeTold
from schedules.engine.record import RULES
from schedules.models import DueChange
from visits.api.examples import told


class ChangeListView(GenericAPIView[DueChange]):
    """Due days that moved."""

    serializer_class = ChangeTold
    keyset = ("changed_at", "pk")
    filters = {
        "since": by_instant(
            "changed_at__gte", "Changes at or after an instant, as 2026-03-02T15:00:00Z.", must=True
        ),
        "site": by_id("fan__site", "Changes at one site.", Site.objects.visible_to),
        "fan": by_id("fan", "Changes of one fan.", Fan.objects.visible_to),
    }

    def get_queryset(self) -> QuerySet[DueChange]:
        return DueChange.objects.visible_to(self.request.user).select_related("fan__site")

    @extend_schema(
        responses=ChangeTold(many=True), examples=[told("A stop was found", examples.CHANGE)]
    )
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Changes since an instant, oldest first; a fan's first dates are no change.

        What is being reckoned while you ask is logged under the instant it began: next time, ask
        from some minutes before your last answer on.
        """
        page = self.paginate_queryset(self.filter_queryset(self.get_queryset()))
        return self.get_paginated_response([tell_change(change) for change in page or ()])


def tell_change(change: DueChange) -> Told:
    """One change, before and after; null where there was no date."""
    fan = change.fan
    return {
        "fan": {"id": fan.pk, "tag": fan.tag},
        "site": {"id": fan.site_id, "name": fan.site.name},
        "changed_at": change.changed_at,
        "before": {"due_on": change.due_on_before, "rule": RULES[change.due_rule_before or 0]},
        "after": {"due_on": change.due_on, "rule": RULES[change.due_rule or 0]},
    }
