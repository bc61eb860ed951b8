"""The owner's page."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from fleet.models import OwnerLink
from schedules.pages.owner.entering import by_link


@by_link(OwnerLink.Purpose.PAGE)
@require_safe
def owner_page(request: HttpRequest, link: OwnerLink) -> HttpResponse:
    """What an owner is told."""
    return render(request, "schedules/owner/page.html", {"owner": link.owner})
