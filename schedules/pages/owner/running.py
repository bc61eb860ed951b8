"""The kitchen's own look after a storm: one question for each fan of the site."""

from __future__ import annotations

from uuid import UUID, uuid4

from django.core import signing
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from fleet.models import Fan, OwnerLink
from schedules.answering import NotAnsweredError
from schedules.kitchen_checks import kitchen_told
from schedules.pages.owner.entering import by_link
from schedules.pages.owner.forms import RunningForm
from visits.models import RunningTold
from visits.services import RunningAnswers
from visits.wording import RUNNING, words

SALT = "schedules.pages.owner.running"


@by_link(OwnerLink.Purpose.RUNNING)
@require_http_methods(["GET", "HEAD", "POST"])
def running_page(request: HttpRequest, link: OwnerLink) -> HttpResponse:
    """Ask for each fan; only the button tells anything."""
    fans = {fan.pk: _name(fan) for fan in Fan.objects.filter(site=link.site_id)}
    if request.method != "POST":
        return _show(request, link, RunningForm(fans=fans, initial={"page": _page(link)}))
    form = RunningForm(request.POST, fans=fans)
    page_id = _read_page(request.POST.get("page", ""), link)
    if page_id is None:
        fresh = RunningForm(fans=fans, initial={"page": _page(link)})
        return _show(request, link, fresh, _("This page was open for too long; answer once more."))
    if not form.is_valid():
        return _show(request, link, form)
    told = RunningAnswers(
        page_id, form.answers, form.cleaned_data["name"], form.cleaned_data["note"]
    )
    try:
        kitchen_told(link=link, told=told, now=timezone.now())
    except NotAnsweredError:
        return _show(request, link, form, _("Too many answers came today. Call us, please."))
    return redirect("running_receipt")


@by_link(OwnerLink.Purpose.RUNNING)
@require_http_methods(["GET", "HEAD"])
def running_receipt(request: HttpRequest, link: OwnerLink) -> HttpResponse:
    """What was told last by this link, and what to do meanwhile."""
    rows = RunningTold.objects.filter(link=link).select_related("fan").order_by("received_at", "pk")
    newest = {row.fan_id: row for row in rows}
    told = sorted(newest.values(), key=lambda row: row.fan.tag)
    stopped = [row for row in told if row.answer == row.Answer.NOT_RUNNING]
    answers = [(row, words(RUNNING, row.answer)) for row in told]
    context = {"site": link.site, "told": answers, "stopped": stopped}
    return render(request, "schedules/owner/running_receipt.html", context)


def _name(fan: Fan) -> str:
    return f"{fan.tag} ({fan.place})" if fan.place else fan.tag


def _page(link: OwnerLink) -> str:
    return signing.dumps(str(uuid4()), salt=f"{SALT}.{link.pk}")


def _read_page(text: str, link: OwnerLink) -> UUID | None:
    """The page's own id, which lets it be sent once."""
    try:
        return UUID(signing.loads(text, salt=f"{SALT}.{link.pk}"))
    except (signing.BadSignature, ValueError):
        return None


def _show(
    request: HttpRequest, link: OwnerLink, form: RunningForm, problem: str = ""
) -> HttpResponse:
    code = 422 if form.is_bound or problem else 200
    context = {"site": link.site, "form": form, "problem": problem}
    return render(request, "schedules/owner/running.html", context, status=code)
