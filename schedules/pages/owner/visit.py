"""A visit beyond those bought on a page of its own, with the form that answers it."""

from __future__ import annotations

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from fleet.models import OwnerLink, Site
from schedules.agreeing import NEXT, answer_visit, visit_answer_of
from schedules.answering import Given, Shown
from schedules.owner_page.gathering import read_visit
from schedules.owner_page.shown import show_visit
from schedules.pages.owner.asking import Asking, Question, ask
from schedules.pages.owner.entering import by_link
from schedules.pages.owner.forms import VisitForm
from schedules.pages.owner.page import show_receipt
from schedules.wording import visit_answer_text
from visits.wording import words


@by_link(OwnerLink.Purpose.PAGE)
@require_http_methods(["GET", "HEAD", "POST"])
def owner_visit(request: HttpRequest, link: OwnerLink, site_id: int) -> HttpResponse:
    """Read which fans it is for, and say yes or no."""
    site, now = get_object_or_404(Site, owner=link.owner_id, pk=site_id), timezone.now()

    def read() -> Question:
        file = read_visit(link, site, now)
        shown = show_visit(site, file)
        if file is None:
            return Question(shown, "", "", _("No visit there waits for your yes now."))
        return Question(shown, file.state, file.shown, "")

    def give(shown: Shown, given: Given) -> UUID:
        return answer_visit(link=link, site=site, shown=shown, given=given, now=now).pk

    about = f"visit.{site.pk}"
    return ask(request, link, Asking(about, read, VisitForm, give, "owner_visit_receipt"))


@by_link(OwnerLink.Purpose.PAGE)
@require_safe
def owner_visit_receipt(request: HttpRequest, link: OwnerLink, answer_id: UUID) -> HttpResponse:
    """What was recorded, what happens next, where the confirmation goes."""
    row = visit_answer_of(link, pk=answer_id)
    if row is None:
        raise Http404
    return show_receipt(request, link, visit_answer_text(row), words(NEXT, row.answer), row.shown)
