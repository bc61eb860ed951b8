"""Labels of a site's fans: which, on what paper, as a PDF to print."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from fleet.models import Fan, Site
from schedules.labels.sheet import PAPERS, fan_address, site_labels, unshown_signs


@require_safe
def labels_page(request: HttpRequest, site_id: int) -> HttpResponse:
    """What would be printed, and what the codes say."""
    site = _site(request, site_id)
    fans = _fans(site)
    context = {
        "site": site,
        "fans": fans,
        "papers": list(PAPERS),
        "example": fan_address(fans[0]) if fans else "",
        "unshown": " ".join(unshown_signs(fans)),
        "is_safe": settings.PUBLIC_URL.startswith("https://"),
    }
    return render(request, "schedules/phone/labels.html", context)


@require_safe
def labels_file(request: HttpRequest, site_id: int) -> HttpResponse:
    """The sheet; of the fans ticked, or of all."""
    site, paper = _site(request, site_id), request.GET.get("paper", "letter")
    ticked = set(request.GET.getlist("fan"))
    fans = [fan for fan in _fans(site) if not ticked or str(fan.pk) in ticked]
    if paper not in PAPERS or not fans:
        raise Http404
    answer = HttpResponse(site_labels(site, fans, paper), content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="labels-{site.pk}.pdf"'
    return answer


def _site(request: HttpRequest, site_id: int) -> Site:
    person: Any = request.user
    if not person.works_here:
        raise Http404
    return get_object_or_404(Site.objects.visible_to(person), pk=site_id)


def _fans(site: Site) -> list[Fan]:
    return list(Fan.objects.filter(site=site).select_related("site", "system").order_by("tag"))
