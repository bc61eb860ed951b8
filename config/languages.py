"""In whose language a page or letter is: the company's desk is English, owners and roofs choose."""

from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.db import models
from django.http import HttpRequest, HttpResponse
from django.utils import translation
from django.utils.translation import gettext_lazy as _

CHOSEN = "language"
"""Query parameter and cookie in which whoever reads a page by a link chooses another language."""
PHONE_DOORS = ("/api/v1/round", "/api/v1/visits")
"""Addresses at which somebody signed in is answered in their own language."""
NAMES = dict(settings.LANGUAGES)


def language_field() -> models.CharField[str, str]:
    """A column for the language in which somebody is written to."""
    return models.CharField(
        _("language"), max_length=5, choices=settings.LANGUAGES, default=settings.LANGUAGE_CODE
    )


def known_or(code: str | None, other: str) -> str:
    """A language we speak: ``code`` if it is one."""
    return code if code in NAMES else other


def speak_on_phones(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Middleware: a phone is answered in the language of whoever is signed in there."""

    def answer(request: HttpRequest) -> HttpResponse:
        if not request.path.startswith(PHONE_DOORS):
            return get_response(request)
        own = getattr(request.user, "language", None)
        return spoken(get_response, request, known_or(own, settings.LANGUAGE_CODE))

    return answer


def spoken(
    view: Callable[[HttpRequest], HttpResponse], request: HttpRequest, language: str
) -> HttpResponse:
    """What a view answers in this language, which the answer names."""
    with translation.override(language):
        answer = view(request)
        answer.headers.setdefault("Content-Language", language)
    return answer


def chosen(request: HttpRequest, own: str) -> str:
    """What is asked for in the address, else was before on this device, else the reader's own."""
    asked = request.GET.get(CHOSEN) or request.COOKIES.get(CHOSEN)
    return known_or(asked, own)


def keep_choice(request: HttpRequest, answer: HttpResponse) -> HttpResponse:
    """The next pages come as asked for in this address: for as long as the browser stays open."""
    asked = request.GET.get(CHOSEN)
    if asked in NAMES:
        answer.set_cookie(
            CHOSEN, asked, httponly=True, samesite="Lax", secure=settings.SESSION_COOKIE_SECURE
        )
    return answer
