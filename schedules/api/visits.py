"""Where records are posted; the lists of them are the record's own."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from config.api.access import COMPANY, ByRole
from schedules.api import examples
from schedules.api.posting import post
from schedules.api.shapes import LoggedAnswer, VisitAnswer
from schedules.services import log_closing, log_decision, log_event, log_visit
from visits.api.events import EventListView
from visits.api.examples import sent, told
from visits.api.sent import ClosingSent, DecisionSent, EventSent, VisitSent
from visits.api.visits import VisitListView

OTHER = {201: LoggedAnswer, 200: LoggedAnswer}


class LogVisitView(VisitListView):
    """Visits listed and logged."""

    permission_classes = [ByRole]
    changed_by = COMPANY
    refusals = {"POST": (409,)}

    @extend_schema(
        request=VisitSent,
        responses={201: VisitAnswer, 200: VisitAnswer},
        examples=[
            sent("A broken hinge", examples.VISIT),
            sent("A fan dead after a hood cleaning, its switch replaced", examples.CALL),
            sent("A correction", examples.CORRECTED),
            told("A stop was found", examples.VISIT_ANSWER, 201),
            told("Stored already", {**examples.VISIT_ANSWER, "created": False}),
        ],
    )
    def post(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Log a visit or a correction of one; hear what it means and when its fans are due again.

        The same payload again is answered 200 with the stored visit, another one under its id 409.
        A correction is a visit of its own that replaces an earlier one whole; its answer tells the
        dates of all fans of the site, any of which it may have touched.  What happened between
        visits, a tripped breaker that was reset or a hood cleaning, is an event: `POST /events`.
        """
        return post(log_visit, request)


class LogEventView(EventListView):
    """Events listed and logged."""

    permission_classes = [ByRole]
    changed_by = COMPANY
    refusals = {"POST": (409,)}

    @extend_schema(
        request=EventSent,
        responses=OTHER,
        examples=[
            sent("A hood cleaning", examples.EVENT),
            *examples.told_of(examples.EVENT["id"]),
        ],
    )
    def post(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Log what happened between visits, or a correction of it; repeated as visits are."""
        return post(log_event, request)


class DecisionView(APIView):
    """Owners' answers."""

    permission_classes = [ByRole]
    changed_by = COMPANY
    refusals = {"POST": (409,)}

    @extend_schema(
        request=DecisionSent,
        responses=OTHER,
        examples=[
            sent("The owner agrees", examples.DECISION),
            *examples.told_of(examples.DECISION["id"]),
        ],
    )
    def post(self, request: Request) -> Response:
        """Record an owner's answer to advice, or on a subject of a fan; repeated as visits are.

        Whoever works here may: who decided is named in ``decided_by``.
        """
        return post(log_decision, request)


class ClosingView(APIView):
    """Findings closed."""

    permission_classes = [ByRole]
    changed_by = COMPANY
    refusals = {"POST": (409,)}

    @extend_schema(
        request=ClosingSent,
        responses=OTHER,
        examples=[
            sent("A finding closed", examples.CLOSING),
            *examples.told_of(examples.CLOSING["id"]),
        ],
    )
    def post(self, request: Request) -> Response:
        """Close a finding with its reason, once; repeated as visits are."""
        return post(log_closing, request)
