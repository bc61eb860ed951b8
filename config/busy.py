"""What people are told when the database stayed with somebody else's writing for too long."""

from __future__ import annotations

import sys

from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.views.defaults import server_error

from config.collisions import is_locked

WAIT_S = 10
SENTENCE = "Somebody else is storing much at this moment. Nothing was stored; send it again soon."


def answer_fault(request: HttpRequest) -> HttpResponse:
    """The page for what went wrong; Django calls it while the exception is at hand."""
    if not is_locked(sys.exc_info()[1]):
        return server_error(request)
    told = {"Retry-After": str(WAIT_S)}
    return HttpResponse(render_to_string("503.html"), status=503, headers=told)
