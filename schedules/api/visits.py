"""Where visits are posted; the list of them is the record's own."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from config.api.access import COMPANY, ByRole
from schedules.api.posting import post
from schedules.api.shapes import VisitAnswer
from schedules.services import log_visit
from visits.api.visits import VisitListView


class LogVisitView(VisitListView):
    """Visits listed and logged."""

    permission_classes = [ByRole]
    changed_by = COMPANY
    refusals = {"POST": (409,)}

    @extend_schema(responses={201: VisitAnswer, 200: VisitAnswer})
    def post(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Log a visit or a correction of one; hear what it means and when its fans are due again.

        The same payload again is answered 200 with the stored visit, another one under its id 409.
        """
        return post(log_visit, request)
