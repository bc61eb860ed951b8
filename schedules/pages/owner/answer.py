"""Advice on a page of its own, with the form that answers it."""

from __future__ import annotations

from functools import partial
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from fleet.models import OwnerLink
from schedules.answering import Given, Shown, answer_advice
from schedules.notices.advice.asking import standing_advice
from schedules.owner_page.advice import advice_of
from schedules.owner_page.gathering import read_advice
from schedules.owner_page.shown import show_advice
from schedules.pages.owner.asking import Asking, Question, ask
from schedules.pages.owner.entering import by_link
from schedules.pages.owner.forms import AdviceForm
from visits.models import Recommendation
from visits.wording import words
from visits.wording.names import Words

GONE: Words = {
    "corrected": gettext_lazy(
        "This advice was corrected since; your page shows what we advise now."
    ),
    "settled": gettext_lazy(
        "This has been repaired, or was found in order, since the advice was given. There is "
        "nothing to answer any more."
    ),
}


@by_link(OwnerLink.Purpose.PAGE)
@require_http_methods(["GET", "HEAD", "POST"])
def owner_advice(request: HttpRequest, link: OwnerLink, advice_id: UUID) -> HttpResponse:
    """Read it, and answer it."""
    now = timezone.now()
    rows = advice_of(link).select_related("fan__site", "visit")
    found = rows.filter(pk=advice_id).first()
    if found is None:
        raise Http404
    today = now.astimezone(found.fan.site.zone).date()

    def read() -> Question:
        row = rows.get(pk=advice_id)
        file, gone = read_advice(link, row, now), _gone(row)
        last = row.answer
        told = words(GONE, gone) if gone else ""
        return Question(show_advice(file), str(last.pk) if last else "", file.shown, told)

    def give(shown: Shown, given: Given) -> UUID:
        return answer_advice(link=link, shown=shown, given=given, now=now).pk

    form = partial(AdviceForm, today=today)
    return ask(request, link, Asking(str(advice_id), read, form, give, "owner_receipt"))


def _gone(row: Recommendation) -> str:
    """Why nothing is left to answer; empty where it stands."""
    if getattr(row.visit, "superseded_by", None) is not None:
        return "corrected"
    standing = standing_advice(Recommendation.objects.filter(pk=row.pk))
    return "" if standing else "settled"
