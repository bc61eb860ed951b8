"""Sites: all of them with what is due, and one roof with its systems and fans."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from fleet.models import Site
from schedules import wording
from schedules.due.lists import PageKeyError
from schedules.due.local_days import days_at
from schedules.due.sites import (
    SiteLine,
    SystemFans,
    bought_for,
    newest_entries,
    site_lines,
    systems_of,
)
from schedules.fan_page.plate_reading import read_otherwise
from schedules.pages.booking_forms import Refused, show_bookings
from schedules.pages.lines import show
from schedules.pages.owner.forms import ToldForm
from schedules.pages.owner_links import links_of
from schedules.roof_plan import lying, roof_plan


@require_safe
def site_list(request: HttpRequest) -> HttpResponse:
    """Sites somebody may see, by name."""
    sites = Site.objects.visible_to(request.user)
    search = request.GET.get("q", "").strip()[:100].replace("\x00", "")
    now = timezone.now()
    days = days_at(now, sites.zones())
    context: dict[str, Any] = {"search": search}
    if getattr(request.user, "plans", False):
        context["read_otherwise"] = next(read_otherwise(), None)
    try:
        page = site_lines(sites, days=days, search=search, after=request.GET.get("after", ""))
    except PageKeyError as error:
        context["problem"] = str(error)
        return render(request, "schedules/site_list.html", context, status=400)
    context["lines"] = [
        (line, _next_due(line, days.of(line.site.time_zone))) for line in page.lines
    ]
    if page.next_id:
        asked = {"q": search} if search else {}
        context["next"] = "?" + urlencode({**asked, "after": page.next_id})
    return render(request, "schedules/site_list.html", context)


def _next_due(line: SiteLine, today: Any) -> str:
    return wording.short_day(line.due_on, today) if line.due_on else ""


@require_safe
def site_page(request: HttpRequest, site_id: int) -> HttpResponse:
    """One site: the way up, who comes when, its systems with their fans, the last entries."""
    visible = Site.objects.visible_to(request.user).select_related("owner")
    return show_site(request, get_object_or_404(visible, pk=site_id))


def show_site(request: HttpRequest, site: Site, refused: Refused | None = None) -> HttpResponse:
    """A site's page; with what was refused, and why, where somebody just tried to book."""
    days = days_at(timezone.now(), [site.time_zone])
    today, systems = days.of(site.time_zone), systems_of(site, days)
    context = {
        "site": site,
        "today": wording.day_text(today),
        "access_hours": wording.week_text(site.roof_access_hours),
        "stop_hours": wording.week_text(site.fan_stop_hours),
        "surroundings": wording.surroundings_words(site.surroundings),
        "bought": wording.bought_text(bought_for(site, today)),
        "bookings": show_bookings(site, today, request.user, refused),
        "contacts": site.contacts.all(),
        **_plan(systems),
        "systems": [_system(each, request.user) for each in systems],
        "entries": [wording.entry_text(entry) for entry in newest_entries(site)],
    }
    if getattr(request.user, "plans", False):
        context["links"] = links_of(site)
        if _waits_for_a_yes(systems):
            context["told_form"] = ToldForm()
    status = 409 if refused else 200
    return render(request, "schedules/site_page.html", context, status=status)


def _plan(systems: Iterable[SystemFans]) -> dict[str, Any]:
    """The roof as its fans lie, with the corner of the hatch's square."""
    plan = roof_plan([lying(line.state.fan) for each in systems for line in each.lines])
    if plan is None:
        return {}
    x, y = plan.hatch
    axes = f"M{x} 12V{plan.height}M0 {y}H{plan.width}M{x - 4} 18l4-7 4 7"
    return {"plan": plan, "axes": axes, "hatch_x": x - 9, "hatch_y": y - 9}


def _waits_for_a_yes(systems: Iterable[SystemFans]) -> bool:
    """Whether a visit beyond those bought is due and its owner has not answered."""
    lines = (line for system in systems for line in system.lines if line.section != "later")
    return any(line.beyond and not line.beyond.answer for line in lines)


def _system(told: SystemFans, reader: object) -> dict[str, Any]:
    return {
        "anchor": f"system-{told.system.pk}",
        "name": told.system.name,
        "facts": wording.system_text(told),
        "lines": [show(line, reader) for line in told.lines],
    }
