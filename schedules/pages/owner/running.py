"""The kitchen's own look after a storm."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from fleet.models import OwnerLink
from schedules.pages.owner.entering import by_link


@by_link(OwnerLink.Purpose.RUNNING)
@require_safe
def running_page(request: HttpRequest, link: OwnerLink) -> HttpResponse:
    """One question for each fan of the site."""
    return render(request, "schedules/owner/page.html", {"owner": link.owner})
