"""A link in a letter becomes a cookie; whoever comes without one meets the same plain page."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from functools import wraps
from typing import Any, Concatenate, ParamSpec
from uuid import UUID

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from config.api.signing_in import address_of
from config.languages import chosen, keep_choice, spoken
from config.private import UNTRACED
from fleet.models import OwnerLink
from fleet.services.guesses import WITHIN, count_guess
from fleet.services.links import find_by_token, find_link, note_use

P = ParamSpec("P")
LASTS = timedelta(hours=8)
"""A cookie's life, our choice: a working day on one device; the letter's link opens it again."""
SALT = "schedules.pages.owner"
FIRST_PAGES = {OwnerLink.Purpose.PAGE: "owner_page", OwnerLink.Purpose.RUNNING: "running_page"}


@login_not_required
@require_safe
def open_link(request: HttpRequest, token: str) -> HttpResponse:
    """Swap the words in the address for a cookie; opening a link decides and uses up nothing."""
    now = timezone.now()
    link = find_by_token(token, now)
    if link is None:
        return _missed(request, now)
    note_use(link=link, now=now)
    answer = redirect(FIRST_PAGES[OwnerLink.Purpose(link.purpose)])
    answer.set_signed_cookie(
        _cookie(link.purpose), str(link.pk), salt=SALT, max_age=int(LASTS.total_seconds()),
        path=answer.headers["Location"], httponly=True, samesite="Lax",
        secure=settings.SESSION_COOKIE_SECURE,
    )  # fmt: skip
    return _sent_on_without_a_trace(answer)


def by_link(
    purpose: OwnerLink.Purpose,
) -> Callable[
    [Callable[Concatenate[HttpRequest, OwnerLink, P], HttpResponse]],
    Callable[Concatenate[HttpRequest, P], HttpResponse],
]:
    """Hand a view the link that opened this browser; the link sees what its owner may see."""

    def opened(
        view: Callable[Concatenate[HttpRequest, OwnerLink, P], HttpResponse],
    ) -> Callable[Concatenate[HttpRequest, P], HttpResponse]:
        @login_not_required
        @wraps(view)
        def answer(request: HttpRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
            link = _carried(request, purpose)
            if link is None or link.purpose != purpose:
                return no_link(request)
            language = chosen(request, link.owner.language)
            told = spoken(lambda asked: view(asked, link, *args, **kwargs), request, language)
            return keep_choice(request, told)

        return answer

    return opened


def _carried(request: HttpRequest, purpose: OwnerLink.Purpose) -> OwnerLink | None:
    """The link this browser was opened by, looked up anew: one ended meanwhile is over at once."""
    told: Any = request.get_signed_cookie(_cookie(purpose), "", salt=SALT, max_age=LASTS)
    return find_link(UUID(told), timezone.now()) if told else None


def _cookie(purpose: str) -> str:
    return f"owner_{purpose}"


def _missed(request: HttpRequest, now: datetime) -> HttpResponse:
    too_many = count_guess(address=address_of(request), now=now)
    return _sent_on_without_a_trace(no_link(request, status=429 if too_many else 404))


def _sent_on_without_a_trace(answer: HttpResponse) -> HttpResponse:
    for name, value in UNTRACED.items():
        answer.headers[name] = value
    return answer


def no_link(request: HttpRequest, status: int = 404) -> HttpResponse:
    """One page for links unknown, ended, past their time or made up: nothing tells which.

    Nobody knows whose language that is: it is said in the one last read on this device.
    """
    language = chosen(request, settings.LANGUAGE_CODE)
    answer = spoken(
        lambda asked: render(asked, "schedules/owner/no_link.html", status=status),
        request, language,
    )  # fmt: skip
    answer = keep_choice(request, answer)
    if status == 429:
        answer.headers["Retry-After"] = str(int(WITHIN.total_seconds()))
    return answer
