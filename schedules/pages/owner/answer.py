"""Advice on a page of its own, with the form that answers it."""

from __future__ import annotations

from datetime import date, datetime
from uuid import UUID, uuid4

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from fleet.models import OwnerLink
from schedules.answering import NotAnsweredError, Shown, answer_advice
from schedules.notices.advice.asking import standing_advice
from schedules.owner_page.advice import advice_of
from schedules.owner_page.gathering import read_advice
from schedules.owner_page.shown import show_advice
from schedules.pages.owner.entering import by_link
from schedules.pages.owner.forms import AnswerForm
from visits.models import Recommendation
from visits.payload import PayloadError
from visits.wording import words
from visits.wording.names import Words

WHY_NOT: Words = {
    "answered": gettext_lazy(
        "Nothing was recorded: this advice was answered since you opened the page. The answer "
        "stands below; to replace it, answer once more."
    ),
    "corrected": gettext_lazy(
        "Nothing was recorded: this advice was corrected since. Your page shows what we advise now."
    ),
    "settled": gettext_lazy(
        "Nothing was recorded: this has been repaired, or was found in order, since the advice was "
        "given."
    ),
    "used": gettext_lazy(
        "Nothing more was recorded: this page has given its answer, which stands below. To replace "
        "it, answer once more."
    ),
    "flood": gettext_lazy(
        "Nothing was recorded: too many answers came by your links today. Call us, please."
    ),
    "stale": gettext_lazy(
        "Nothing was recorded: this page was open for too long. Read it again, then answer."
    ),
}


@by_link(OwnerLink.Purpose.PAGE)
@require_http_methods(["GET", "HEAD", "POST"])
def owner_advice(request: HttpRequest, link: OwnerLink, advice_id: UUID) -> HttpResponse:
    """Read it, and answer it by pressing the button; nothing else decides."""
    now = timezone.now()
    row = advice_of(link).select_related("fan__site", "visit").filter(pk=advice_id).first()
    if row is None:
        raise Http404
    if request.method != "POST":
        return _show(request, link, row, now)
    form = AnswerForm(request.POST, today=_today(row, now))
    shown = Shown.read(request.POST.get("page", ""), link)
    if shown is None or shown.advice_id != row.pk:
        return _show(request, link, row, now, why="stale")
    if not form.is_valid():
        return _show(request, link, row, now, form=form, shown=shown)
    try:
        decision = answer_advice(link=link, shown=shown, given=form.given, now=now)
    except NotAnsweredError as error:
        return _show(request, link, row, now, why=error.why)
    except PayloadError as error:
        form.add_error(None, _("This cannot be recorded: {why}").format(why=error))
        return _show(request, link, row, now, form=form, shown=shown)
    return redirect("owner_receipt", decision.pk)


def _today(row: Recommendation, now: datetime) -> date:
    return now.astimezone(row.fan.site.zone).date()


def _show(
    request: HttpRequest,
    link: OwnerLink,
    row: Recommendation,
    now: datetime,
    *,
    form: AnswerForm | None = None,
    shown: Shown | None = None,
    why: str = "",
) -> HttpResponse:
    """The page; a form with faults keeps what it was shown with, any other gets a fresh one."""
    row = advice_of(link).select_related("fan__site", "visit").get(pk=row.pk)
    file = read_advice(link, row, now)
    last = file.row.answer
    if shown is None:
        shown = Shown(row.pk, uuid4(), str(last.pk) if last else "", file.shown)
    gone = _gone(row)
    if form is None:
        form = AnswerForm(today=_today(row, now), initial={"page": shown.signed(link)})
    context = {
        "advice": show_advice(file),
        "form": form,
        "why": words(WHY_NOT, why) if why else "",
        "gone": words(GONE, gone) if gone else "",
        "owner": link.owner,
    }
    code = 409 if why else 422 if form.is_bound else 200
    return render(request, "schedules/owner/advice.html", context, status=code)


GONE: Words = {
    "corrected": gettext_lazy(
        "This advice was corrected since; your page shows what we advise now."
    ),
    "settled": gettext_lazy(
        "This has been repaired, or was found in order, since the advice was given. There is "
        "nothing to answer any more."
    ),
}


def _gone(row: Recommendation) -> str:
    """Why nothing is left to answer; empty where it stands."""
    if getattr(row.visit, "superseded_by", None) is not None:
        return "corrected"
    standing = standing_advice(Recommendation.objects.filter(pk=row.pk))
    return "" if standing else "settled"
