"""Emails owed and sent, for those who plan: what became of each, and how it reads."""

from __future__ import annotations

from collections.abc import Container
from typing import Any

from csp.constants import NONE, UNSAFE_INLINE
from csp.decorators import csp
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from config.characters import hidden_in
from schedules.models import Notice, Subscription
from schedules.notices.addressees import refused_among
from schedules.notices.leaving import without_leave_link
from schedules.notices.links import without_links
from schedules.notices.refusals import refused_addresses, try_again
from schedules.office import office
from schedules.wording.notices import at_text, state_text

PAGE = 50
AS_DRAWN = {
    "default-src": [NONE], "style-src": [UNSAFE_INLINE], "frame-ancestors": [NONE], "sandbox": [""],
}  # fmt: skip


def _notices(request: HttpRequest) -> QuerySet[Notice]:
    """All of them, for those who plan; for others there is no such page."""
    if not getattr(request.user, "plans", False):
        raise Http404
    return Notice.objects.select_related("owner", "person")


@require_safe
def notice_list(request: HttpRequest) -> HttpResponse:
    """Newest first; ``before`` is the last one of the page before."""
    rows = _notices(request)
    before = request.GET.get("before", "")
    if before:
        if not (before.isascii() and before.isdecimal() and len(before) < 19):
            raise Http404
        rows = rows.filter(pk__lt=int(before))
    found = list(rows.order_by("-pk")[: PAGE + 1])
    refused = refused_among(notice.address for notice in found)
    with timezone.override(office().zone):
        told = [(notice, _state(notice, refused)) for notice in found[:PAGE]]
        unreached = [(row, at_text(row.since)) for row in refused_addresses()]
    context: dict[str, Any] = {
        "notices": told,
        "refused": unreached,
        "next": found[PAGE - 1].pk if len(found) > PAGE else None,
        "left": None if before else Subscription.objects.left().select_related("owner", "person"),
    }
    return render(request, "schedules/notice_list.html", context)


@require_POST
def try_address_again(request: HttpRequest) -> HttpResponse:
    """Let letters go again to an address that was refused."""
    _notices(request)
    address = request.POST.get("address", "")
    if hidden_in(address) or not try_again(address=address, now=timezone.now()):
        raise Http404
    return redirect("notice_list")


def _state(notice: Notice, refused: Container[str]) -> str:
    return state_text(notice, refused=notice.address in refused)


@require_safe
def notice_page(request: HttpRequest, notice_id: int) -> HttpResponse:
    """One message with its plain text."""
    notice = get_object_or_404(_notices(request), pk=notice_id)
    with timezone.override(office().zone):
        state = _state(notice, refused_among([notice.address]))
    context = {
        "notice": notice,
        "state": state,
        "text": without_leave_link(without_links(notice.text)),
    }
    return render(request, "schedules/notice_page.html", context)


@csp(AS_DRAWN)  # type: ignore[arg-type]  # views may take more than the request
@require_safe
def notice_html(request: HttpRequest, notice_id: int) -> HttpResponse:
    """The message as a mail program draws it: its own style, and nothing that could run."""
    notice = get_object_or_404(_notices(request), pk=notice_id)
    return HttpResponse(without_leave_link(without_links(notice.html)))
