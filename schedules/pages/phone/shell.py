"""The page for roofs: a shell without anybody in it, the worker that keeps it, its words."""

from __future__ import annotations

import json
from typing import Any

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.csrf import ensure_csrf_cookie
from django.views.decorators.http import require_safe

from schedules.phone.assets import assets, words_in

ASKED_EACH_TIME = "no-cache"
COLOUR, PAPER = "#7a2e1d", "#f6f0e3"


@require_safe
@ensure_csrf_cookie
def round_page(request: HttpRequest, fan_id: int = 0) -> HttpResponse:
    """The page, the same for everybody and for every fan: what it shows it asks for by itself."""
    person: Any = request.user
    if not person.works_here:
        raise Http404
    answer = render(request, "schedules/phone/round.html", {"version": assets().version})
    answer["Cache-Control"] = ASKED_EACH_TIME
    return answer


@require_safe
@login_not_required
def round_worker(request: HttpRequest) -> HttpResponse:
    """The service worker: which files there are, then its own text; it tells nothing of anybody."""
    found = assets()
    told = {
        "version": found.version,
        "shell": reverse("round_page"),
        "assets": found.addresses,
    }
    text = f"self.ROUND = {json.dumps(told)};\n{found.worker}"
    headers = {"Cache-Control": ASKED_EACH_TIME, "Service-Worker-Allowed": reverse("round_page")}
    return HttpResponse(text, content_type="text/javascript; charset=utf-8", headers=headers)


@require_safe
@login_not_required
def round_manifest(request: HttpRequest) -> HttpResponse:
    """What a phone is told to put the page among its programs; browsers ask without a cookie."""
    start = reverse("round_page")
    icon = {"src": static("mark.svg"), "type": "image/svg+xml", "sizes": "any"}
    told = {
        "id": start, "name": "Roofround: round", "short_name": "Roofround", "start_url": start,
        "scope": start, "display": "standalone", "background_color": PAPER, "theme_color": COLOUR,
        "icons": [{**icon, "purpose": purpose} for purpose in ("any", "maskable")],
    }  # fmt: skip
    headers = {"Cache-Control": ASKED_EACH_TIME}
    return JsonResponse(told, content_type="application/manifest+json", headers=headers)


@require_safe
@login_not_required
def round_words(request: HttpRequest, language: str) -> HttpResponse:
    """The page's words in a language we speak."""
    if language not in dict(settings.LANGUAGES):
        raise Http404
    headers = {"Cache-Control": ASKED_EACH_TIME}
    return HttpResponse(words_in(language), content_type="application/json", headers=headers)
