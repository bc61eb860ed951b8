"""A fan's page: one record read downwards, from its plate to its oldest entry."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from fleet.models import Fan
from schedules.causes.services import why_fan_failed
from schedules.charts import Drawing
from schedules.due.supplied import supplies
from schedules.due.waiting import at_stake
from schedules.fan_page.beside import beside_first_readings
from schedules.fan_page.cautions import cautions_for
from schedules.fan_page.curves import draw_charts
from schedules.fan_page.driving import next_date
from schedules.fan_page.entries import entries_page
from schedules.fan_page.gathering import FanFile, read_fan_file
from schedules.fan_page.judged import drawn_checks, judge_checks
from schedules.fan_page.keeping import draw_keeping, keeping_of
from schedules.fan_page.plate import plate_facts
from schedules.fan_page.plate_reading import open_differences
from schedules.fan_page.repeats import repeats_of
from schedules.models import Pattern
from schedules.wording import booked_note, day_text
from schedules.wording.causes import WhyWords, why_words
from schedules.wording.keeping import keeping_reckoned, keeping_text
from schedules.wording.owners import WaitingTold, waiting_told
from schedules.wording.patterns import pattern_text
from schedules.wording.supplied import supply_steps


@require_safe
def fan_page(request: HttpRequest, fan_id: int) -> HttpResponse:
    """One fan, to those who may see its site."""
    visible = Fan.objects.visible_to(request.user).prefetch_related("machines", "feeds")
    fan = get_object_or_404(visible.select_related("site__owner", "system"), pk=fan_id)
    try:
        before = date.fromisoformat(request.GET["before"]) if request.GET.get("before") else None
    except ValueError:
        return _told(request, fan, problem=_("That is no day; begin again at the newest entry."))
    file = read_fan_file(fan, timezone.now())
    page = entries_page(file, before)
    judged = judge_checks([*drawn_checks(file), *page.checks])
    reader: Any = request.user
    beside = beside_first_readings(file, page.checks, reader)
    return _told(
        request,
        fan,
        plate=plate_facts(file),
        otherwise=open_differences(file),
        next=next_date(file),
        waiting=_waiting(file, for_us=reader.works_here) if before is None else None,
        booked=booked_note(file.line.booked if file.line else None, reader),
        repeats=repeats_of(file),
        patterns=_patterns(fan) if reader.works_here else [],
        whys=_whys(file, reader) if before is None else [],
        cautions=cautions_for(file) if reader.works_here else [],
        charts=draw_charts(file, judged) if before is None else None,
        keeping=_keeping(file, for_us=reader.works_here) if before is None else None,
        supplied=[list(supply_steps(each)) for each in supplies(Q(fan=fan))],
        entries=page.show(judged, beside),
        older=page.older,
        before=before,
        today=day_text(file.today),
    )


def _waiting(file: FanFile, *, for_us: bool) -> WaitingTold | None:
    """What waiting costs, where anything is known of when somebody comes."""
    if file.line is None:
        return None
    return waiting_told(file.line, at_stake([file.line]).get(file.fan.pk), for_us=for_us)


@dataclass(frozen=True)
class ShownKeeping:
    """Keep or replace in words, with its drawing where there is something to draw."""

    text: str
    reckoned: str
    drawing: Drawing | None


def _keeping(file: FanFile, *, for_us: bool) -> ShownKeeping | None:
    told = keeping_of(file)
    if told is None:
        return None
    reckoned = keeping_reckoned(told, for_us=for_us)
    return ShownKeeping(keeping_text(told), reckoned, draw_keeping(told, file))


def _patterns(fan: Fan) -> list[tuple[int, str]]:
    """What keeps failing here, by the number of its page."""
    rows = Pattern.objects.open().filter(fan=fan)
    return [(row.pk, pattern_text(row)) for row in rows]


def _whys(file: FanFile, reader: Any) -> list[WhyWords]:
    """Why it failed, where its record has a loss of function at all."""
    if not file.has_failed:
        return []
    explained = why_fan_failed(file.fan.pk, today=file.today, reader=reader)
    return [why_words(each.why, each.loss.failed_on) for each in explained]


def _told(request: HttpRequest, fan: Fan, **told: Any) -> HttpResponse:
    status = 400 if "problem" in told else 200
    return render(request, "schedules/fan_page.html", {"fan": fan, **told}, status=status)
