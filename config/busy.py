"""The page that people get when something went wrong: whose fault it is, and what to do."""

from __future__ import annotations

import sys

from django.http import HttpRequest, HttpResponse, HttpResponseServerError
from django.template.loader import render_to_string

from config.trouble import trouble_of


def answer_fault(request: HttpRequest) -> HttpResponse:
    """The page for what went wrong; Django calls it while the exception is at hand."""
    trouble = trouble_of(sys.exc_info()[1])
    if trouble is None:
        told = {"log_id": getattr(request, "log_id", "")}
        return HttpResponseServerError(render_to_string("500.html", told))
    return HttpResponse(
        render_to_string("503.html", {"trouble": trouble}),
        status=trouble.status,
        headers={"Retry-After": str(trouble.wait_s)},
    )
