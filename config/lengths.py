"""Bodies that do not say how long they are: behind some servers they would be taken for empty."""

from __future__ import annotations

from collections.abc import Callable
from http import HTTPStatus

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils.translation import gettext as _

from config.api.problems import MEDIA_TYPE

Answer = Callable[[HttpRequest], HttpResponse]


def require_length(answer: Answer) -> Answer:
    """Middleware: a body sent in chunks that the server has not put together is refused with 411.

    Django reads as much as Content-Length tells, so nothing where it is missing.
    """

    def told(request: HttpRequest) -> HttpResponse:
        if "HTTP_TRANSFER_ENCODING" not in request.META or request.META.get("CONTENT_LENGTH"):
            return answer(request)
        code = HTTPStatus.LENGTH_REQUIRED
        body = {
            "type": "about:blank", "title": code.phrase, "status": code, "code": "length_missing",
            "detail": _("The body came in chunks; send it whole, with its Content-Length."),
        }  # fmt: skip
        return JsonResponse(body, status=code, content_type=MEDIA_TYPE)

    return told
