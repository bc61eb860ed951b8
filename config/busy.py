"""What people are told when the database stayed with somebody else's writing for too long."""

from __future__ import annotations

import sys

from django.http import HttpRequest, HttpResponse, HttpResponseServerError
from django.template.loader import render_to_string

from config.collisions import is_locked

WAIT_S = 10
SENTENCE = "Somebody else is storing much at this moment. Nothing was stored; send it again soon."


def answer_fault(request: HttpRequest) -> HttpResponse:
    """The page for what went wrong; Django calls it while the exception is at hand."""
    if not is_locked(sys.exc_info()[1]):
        told = {"log_id": getattr(request, "log_id", "")}
        return HttpResponseServerError(render_to_string("500.html", told))
    told = {"Retry-After": str(WAIT_S)}
    return HttpResponse(render_to_string("503.html"), status=503, headers=told)
