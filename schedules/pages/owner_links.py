"""What planners do about an owner from a site's page: hand over a link, end links, ask."""

from __future__ import annotations

from typing import Any, cast

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from fleet.models import OwnerLink, Person, Site
from fleet.services.links import address_of_link, make_link, revoke_links
from schedules import wording
from schedules.agreeing import note_visit_answer
from schedules.answering import NotAnsweredError
from schedules.kitchen_checks import ask_kitchen
from schedules.pages.owner.forms import ToldForm


def _site(request: HttpRequest, site_id: int) -> Site:
    """The site, for those who plan; for others there is no such page."""
    if not getattr(request.user, "plans", False):
        raise Http404
    return get_object_or_404(Site.objects.select_related("owner"), pk=site_id)


@require_POST
def hand_over_link(request: HttpRequest, site_id: int) -> HttpResponse:
    """A new link of the owner, shown once."""
    site = _site(request, site_id)
    by: Any = request.user
    link = make_link(owner=site.owner, now=timezone.now(), by=by)
    context = {
        "site": site,
        "address": address_of_link(link),
        "ends": wording.day_text(link.expires_at.date()),
    }
    return render(request, "schedules/owner_link.html", context)


@require_POST
def end_links(request: HttpRequest, site_id: int) -> HttpResponse:
    """None of the owner's links opens anything from now on."""
    site = _site(request, site_id)
    ended = revoke_links(owner=site.owner, now=timezone.now())
    told = ngettext(
        "One link of {owner} has ended.", "{count} links of {owner} have ended.", ended
    ).format(count=ended, owner=site.owner.name)
    messages.success(request, told)
    return redirect("site_page", site_id)


@require_POST
def ask_running(request: HttpRequest, site_id: int) -> HttpResponse:
    """Ask the kitchen whether its fans run."""
    site = _site(request, site_id)
    outcome = ask_kitchen(site=site, now=timezone.now())
    if outcome == "asked":
        messages.success(request, _("Asked by email; it goes within minutes."))
    elif outcome == "already":
        messages.info(request, _("They were asked today already; the email stands under Notices."))
    else:
        told = _("{owner} has no email address: ask by phone.").format(owner=site.owner.name)
        messages.error(request, told)
    return redirect("site_page", site_id)


@require_POST
def note_answer(request: HttpRequest, site_id: int) -> HttpResponse:
    """What the owner said by phone or letter to one more visit."""
    site = _site(request, site_id)
    form, by = ToldForm(request.POST), request.user
    if not form.is_valid():
        told = [str(each) for errors in form.errors.values() for each in errors]
        messages.error(request, " ".join([_("Nothing was recorded."), *told]))
        return redirect("site_page", site_id)
    try:
        note_visit_answer(site=site, given=form.given, by=cast(Person, by), now=timezone.now())
    except NotAnsweredError:
        messages.error(request, _("Nothing was recorded: no visit here waits for a yes any more."))
    else:
        messages.success(request, _("Recorded, and confirmed to the owner by email."))
    return redirect("site_page", site_id)


def links_of(site: Site) -> dict[str, Any]:
    """What the site's page tells planners of the owner's links and of the kitchen's last word."""
    now = timezone.now()
    open_links = OwnerLink.objects.open_at(now).filter(owner=site.owner_id)
    used = open_links.exclude(used_on=None).order_by("-used_on").first()
    return {
        "count": open_links.count(),
        "used": wording.day_text(used.used_on) if used and used.used_on else "",
    }
