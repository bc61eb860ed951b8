"""What a page tells a browser about keeping it: nothing on record stays behind on a shared one."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

UNTRACED = {"Referrer-Policy": "no-referrer", "X-Robots-Tag": "noindex"}
"""Headers where an address gives the right: no page that follows is told it, nor any search engine
keeps it."""

Answer = Callable[[HttpRequest], HttpResponse]


def keep_no_copy(answer: Answer) -> Answer:
    """Middleware: an answer that says nothing else about it is kept by nobody."""

    def told(request: HttpRequest) -> HttpResponse:
        response = answer(request)
        response.headers.setdefault("Cache-Control", "private, no-store")
        return response

    return told
