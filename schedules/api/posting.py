"""Takes what somebody sends to the record: once, by whoever is asking, now."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import asdict, replace
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _
from rest_framework import status
from rest_framework.request import Request
from rest_framework.response import Response

from config.api.problems import InvalidError, ProblemError
from schedules.api.answers import answer, tell_plate_read
from schedules.notices.asked_now import owe_link_letter
from schedules.services import Logged
from visits.api.told import fault_of
from visits.payload import PayloadError
from visits.payload.fields import as_code
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
        problem, remedy = _("here an object is wanted"), _('write {"id": ..., ...}')
        raise InvalidError([{"pointer": "#", "problem": problem, "remedy": remedy}])
    try:
        logged = service(payload=payload, by=by, now=timezone.now(), tell=answer)
        return _with_further(logged, payload)
    except PayloadError as error:
        raise InvalidError([fault_of(each) for each in error.complaints]) from error
    except PayloadConflictError as error:
        raise ProblemError(
            status.HTTP_409_CONFLICT, "id_taken", f"{upper_first(str(error))}."
        ) from error


def _with_further(logged: Logged, payload: Mapping[str, Any]) -> Logged:
    """What is told only of visits that ask for it: the letter that goes out now, plates read."""
    if not isinstance(logged.recorded, RecordedVisit):
        return logged
    visit = logged.recorded.visit
    further: dict[str, Any] = {}
    if _asks_for_link(payload) and (letter := owe_link_letter(visit=visit, now=timezone.now())):
        further["letter"] = asdict(letter)
    if payload.get("plates"):
        further["plates"] = [tell_plate_read(row) for row in visit.plates.select_related("fan")]
    return replace(logged, told={**logged.told, **further}) if further else logged


def _asks_for_link(payload: Mapping[str, Any]) -> bool:
    """Whether it is worth asking the record; most visits ask for none."""
    # A part may be a text of blanks, which stands for one left out.
    advice, answers = (payload.get(part) for part in ("recommendations", "decisions"))
    told = [each.get("decision") for each in advice] if isinstance(advice, list) else []
    told += answers if isinstance(answers, list) else []
    asked = (each.get("answer") for each in told if isinstance(each, Mapping))
    return any(as_code(answer or "") == "by_link" for answer in asked)
