"""The queue of a phone posted at once: each record by itself, answered in the order it came."""

from __future__ import annotations

from time import monotonic
from typing import Any

from django.utils.translation import gettext as _
from drf_spectacular.utils import (
    PolymorphicProxySerializer,
    extend_schema,
    extend_schema_field,
)
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from config.api.access import COMPANY, ByRole
from config.api.problems import InvalidError, ProblemError, answer_problem
from config.api.schema import ProblemSerializer
from schedules.api import examples
from schedules.api.posting import status_of, take
from schedules.api.shapes import AnyAnswer
from schedules.queues import in_order
from schedules.services import log_closing, log_decision, log_event, log_visit
from visits.api.examples import sent, told
from visits.api.sent import ClosingSent, DecisionSent, EventSent, VisitSent

MOST_RECORDS = 100
PATIENCE_S = 30
"""After so long no further record is begun.  Our choice: proxies wait for an answer for a minute,
and each visit of a fan with tens of thousands of rows on record takes longer than the one before.
"""
SERVICES = {
    "visit": log_visit, "event": log_event, "decision": log_decision, "closing": log_closing,
}  # fmt: skip


@extend_schema_field(
    PolymorphicProxySerializer("AnySent", [VisitSent, EventSent, DecisionSent, ClosingSent], None)
)
class RecordField(serializers.Field[Any, Any, Any, Any]):
    """A visit, an event, a decision or a closing; ``type`` says which, left out: a visit."""


class BatchSent(serializers.Serializer[Any]):
    """A phone's queue."""

    records = serializers.ListField(child=RecordField(), max_length=MOST_RECORDS)


class ItemAnswer(serializers.Serializer[Any]):
    """What became of one record: its ``answer`` with 201 or 200, else its ``problem``."""

    status = serializers.IntegerField()
    answer = AnyAnswer(required=False)
    problem = ProblemSerializer(required=False)


class BatchAnswer(serializers.Serializer[Any]):
    """What became of each record, in the order they were sent."""

    results = ItemAnswer(many=True)


class BatchView(APIView):
    """Records posted at once."""

    permission_classes = [ByRole]
    changed_by = COMPANY
    most_bytes = 10_000_000
    refusals = {"POST": (409,)}

    @extend_schema(
        request=BatchSent,
        responses={200: BatchAnswer},
        examples=[
            sent(
                "A visit, an event, a decision",
                {
                    "records": [
                        examples.VISIT,
                        examples.EVENT,
                        {"type": "decision", **examples.DECISION},
                    ]
                },
            ),
            told("One taken, one not", examples.BATCH_ANSWER),
        ],
    )
    def post(self, request: Request) -> Response:
        """Log up to 100 visits, events, decisions and closings, each in a transaction of its own.

        They are taken in the order in which things happened, not in which they are sent: visits
        and events by when they began, none before what it names, then decisions and closings.
        Answers come in the order of the records.  A record that cannot be taken stops none of the
        others; sent again, what was stored is answered 200.  An answer tells its fans' dates as
        they stood once its record was in; the last one's hold.  A phone that several people use
        says with the header `Round-Person` whose records these are, by id: 409 where somebody else
        is signed in.  Records for which there was no time within half a minute are answered 503:
        send those again.
        """
        records, since = _records(request.data), monotonic()
        results: dict[int, dict[str, Any]] = {}
        for place in in_order(records):
            late = bool(results) and monotonic() - since > PATIENCE_S
            results[place] = _item(records[place], request, late=late)
        return Response({"results": [results[place] for place in range(len(records))]})


def _records(body: Any) -> list[Any]:
    records = body.get("records") if isinstance(body, dict) else None
    if not isinstance(records, list) or set(body) != {"records"}:
        problem, remedy = _("here one list of records is wanted"), _('write {"records": [...]}')
        raise InvalidError([{"pointer": "#", "problem": problem, "remedy": remedy}])
    if len(records) > MOST_RECORDS:
        problem = _("there are %(count)s records") % {"count": len(records)}
        remedy = _("send at most %(most)s at once") % {"most": MOST_RECORDS}
        raise InvalidError([{"pointer": "#/records", "problem": problem, "remedy": remedy}])
    return records


def _item(record: Any, request: Request, *, late: bool = False) -> dict[str, Any]:
    try:
        if late:
            told = _("There was no time left to take it; send it again.")
            raise ProblemError(status.HTTP_503_SERVICE_UNAVAILABLE, "no_time", told)
        logged = take(_service(record), record, request.user)
        return {"status": status_of(logged), "answer": logged.told}
    except Exception as error:  # whatever is wrong with one record, the others are logged
        response = answer_problem(error, {"request": request})
        return {"status": response.status_code, "problem": response.data}


def _service(record: Any) -> Any:
    kind = record.get("type", "visit") if isinstance(record, dict) else "visit"
    if not isinstance(kind, str) or kind not in SERVICES:
        problem = _("this type is not taken here")
        remedy = _("it may be %(names)s") % {"names": ", ".join(SERVICES)}
        raise InvalidError([{"pointer": "#/type", "problem": problem, "remedy": remedy}])
    return SERVICES[kind]
