"""Takes what somebody sends to the record: once, by whoever is asking, now."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import asdict, replace
from typing import Any

from django.utils import timezone
from rest_framework import status
from rest_framework.request import Request
from rest_framework.response import Response

from config.api.problems import InvalidError, ProblemError
from schedules.api.answers import answer
from schedules.notices.asked_now import owe_link_letter
from schedules.services import Logged
from visits.api.told import fault_of
from visits.payload import PayloadError
from visits.services import PayloadConflictError, RecordedVisit
from visits.wording.names import upper_first

Service = Callable[..., Logged]


def post(service: Service, request: Request) -> Response:
    """Log the body: 201 with the answer, 200 where it was there already."""
    logged = take(service, request.data, request.user)
    return Response(logged.told, status=status_of(logged))


def status_of(logged: Logged) -> int:
    """201 for what is new, 200 for what was there already."""
    return status.HTTP_201_CREATED if logged.recorded.created else status.HTTP_200_OK


def take(service: Service, payload: Any, by: Any) -> Logged:
    """Log one payload and answer it; a ProblemError of 400 or 409 says why it cannot be taken."""
    if not isinstance(payload, Mapping):
        remedy = 'write {"id": ..., ...}'
        raise InvalidError(
            [{"pointer": "#", "problem": "here an object is wanted", "remedy": remedy}]
        )
    try:
        logged = service(payload=payload, by=by, now=timezone.now(), tell=answer)
        return _with_letter(logged, payload)
    except PayloadError as error:
        raise InvalidError([fault_of(each) for each in error.complaints]) from error
    except PayloadConflictError as error:
        raise ProblemError(
            status.HTTP_409_CONFLICT, "id_taken", f"{upper_first(str(error))}."
        ) from error


def _with_letter(logged: Logged, payload: Mapping[str, Any]) -> Logged:
    """The letter that a visit asked for goes out now, and its answer says to whom."""
    if not isinstance(logged.recorded, RecordedVisit) or not _asks_for_link(payload):
        return logged
    told = owe_link_letter(visit_id=logged.recorded.visit.pk, now=timezone.now())
    if told is None:
        return logged
    return replace(logged, told={**logged.told, "letter": asdict(told)})


def _asks_for_link(payload: Mapping[str, Any]) -> bool:
    """Whether it is worth asking the record; most visits ask for none."""
    advised = [each.get("decision") or {} for each in payload.get("recommendations") or ()]
    told = (*advised, *(payload.get("decisions") or ()))
    return any(each.get("answer") == "by_link" for each in told)
