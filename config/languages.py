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
PHONE_DOORS = tuple(
    f"/api/v1/{name}"
    for name in ("round", "visits", "photos", "judge", "events", "decisions", "closings")
)
"""Addresses at which what is seen on roofs comes in: answered in the language of who sends it."""
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
    """Middleware: a phone is answered in the language of whoever is signed in there.

    Never in another that its browser would rather have, lest a record sent again were answered
    otherwise; that is asked only of somebody who is not known.
    """

    def answer(request: HttpRequest) -> HttpResponse:
        if not request.path.startswith(PHONE_DOORS):
            return get_response(request)
        own = getattr(request.user, "language", None)
        wished = translation.get_language_from_request(request)
        return spoken(get_response, request, known_or(own, wished))

    return answer


def speak_to(request: HttpRequest, own: str) -> None:
    """The same for whoever is known by a key only once the view is at work."""
    if request.path.startswith(PHONE_DOORS):
        translation.activate(known_or(own, settings.LANGUAGE_CODE))


def spoken(
    view: Callable[[HttpRequest], HttpResponse], request: HttpRequest, language: str
) -> HttpResponse:
    """What a view answers in this language, which the answer names."""
    with translation.override(language):
        answer = view(request)
        answer.headers.setdefault("Content-Language", translation.get_language() or language)
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
