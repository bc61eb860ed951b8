"""The fleet's patterns, the newest failure first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Count, Q
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_safe

from fleet.models import Fan
from schedules.models import Pattern
from schedules.office import office
from schedules.pages.done.asking import member_of_company
from schedules.pages.patterns.counts import shown_counts, shown_curve
from schedules.patterns.tipping import crews_of
from schedules.wording import day_text
from schedules.wording.patterns import (
    STATES,
    closing_text,
    compared_text,
    pattern_text,
    share_text,
    step_text,
)
from visits.wording import words

PAGE = 40
MOST_STEPS = 5
HEADINGS = {
    "open": gettext_lazy("What keeps failing"),
    "closed": gettext_lazy("What kept failing, closed"),
    "lapsed": gettext_lazy("What no longer holds"),
}


@dataclass(frozen=True)
class ShownPattern:
    """A pattern as a line of the list."""

    row: Pattern
    day: str
    sentence: str
    compared: str
    closed: str


@dataclass(frozen=True)
class ShownCrew:
    """A cleaning crew: fans it tipped, how often they were worse at the next look, and which."""

    name: str
    tipped: int
    share: str
    steps: Sequence[tuple[Fan, str]]


@require_safe
def patterns_page(request: HttpRequest) -> HttpResponse:
    """Those that stand as asked for, open ones without asking."""
    member_of_company(request)
    state = request.GET.get("state") or Pattern.State.OPEN
    if state not in STATES:
        raise Http404
    rows = Pattern.objects.with_closings().filter(state=state)
    found = list(
        rows.filter(_beyond(request.GET.get("after", ""))).order_by("-last_on", "-pk")[: PAGE + 1]
    )
    counts = dict(Pattern.objects.order_by().values_list("state").annotate(Count("pk")))
    is_first = state == Pattern.State.OPEN and "after" not in request.GET
    context: dict[str, Any] = {
        "heading": HEADINGS[state],
        "state": state,
        "others": [
            (code, words(STATES, code), counts.get(code, 0)) for code in STATES if code != state
        ],
        "count": counts.get(state, 0),
        "patterns": _shown(found[:PAGE]),
        "crews": _crews() if is_first else (),
        "curve": shown_curve() if is_first else None,
        "counts": shown_counts() if is_first else (),
        "next": _key(found[PAGE - 1]) if len(found) > PAGE else "",
    }  # fmt: skip
    return render(request, "schedules/patterns/page.html", context)


def _crews() -> list[ShownCrew]:
    today = timezone.now().astimezone(office().zone).date()
    return [
        ShownCrew(
            each.name or _("crew not named"), each.tipped, share_text(each),
            [(step.fan, step_text(step)) for step in each.steps[:MOST_STEPS]],
        )
        for each in crews_of(today)
    ]  # fmt: skip


def _shown(rows: Sequence[Pattern]) -> list[ShownPattern]:
    found = []
    for row in rows:
        closings = list(row.closings.all())
        closed = closing_text(closings[-1]) if closings else ""
        day, sentence = day_text(row.last_on), pattern_text(row)
        found.append(ShownPattern(row, day, sentence, compared_text(row), closed))
    return found


def _key(row: Pattern) -> str:
    return f"{row.last_on.isoformat()}.{row.pk}"


def _beyond(key: str) -> Q:
    """Rows after the one that the key names."""
    if not key:
        return Q()
    on, _, pk = key.partition(".")
    try:
        day = date.fromisoformat(on)
    except ValueError as error:
        raise Http404 from error
    if not (pk.isascii() and pk.isdecimal() and len(pk) < 19):
        raise Http404
    return Q(last_on__lt=day) | Q(last_on=day, pk__lt=int(pk))
