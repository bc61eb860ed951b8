"""Failures counted by item, machine model and site beside the patterns, and how they come to be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Q
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from schedules.charts.growing import DrawnGrowth, draw_growth
from schedules.models import FailureTally, FailureTallyQuerySet, FleetCurve
from schedules.pages.done.asking import member_of_company
from schedules.wording.tallies import (
    KINDS,
    LATELY,
    OTHERS,
    curve_text,
    often_text,
    ratio_text,
    tallied_item,
    tallied_text,
    tally_course_text,
)
from visits.wording import words
from visits.wording.names import upper_first

MOST_SHOWN, PAGE = 6, 40


@dataclass(frozen=True)
class ShownTally:
    """A count as a line of a table."""

    row: FailureTally
    item: str
    count: str
    often: str
    ratio: str
    course: str


@dataclass(frozen=True)
class ShownKind:
    """A table of counts: ``against`` heads what they are held against."""

    by: str
    heading: str
    against: str
    rows: Sequence[ShownTally]
    has_more: bool
    next: str = ""


@dataclass(frozen=True)
class ShownCurve:
    """The fleet's curve, drawn and in words."""

    drawing: DrawnGrowth
    text: str


def shown_curve() -> ShownCurve | None:
    """None where nothing has failed, or too few were watched until something did."""
    row = FleetCurve.objects.order_by("pk").first()
    if row is None or not row.points or not row.points[-1][0]:
        return None
    return ShownCurve(draw_growth(row.points), curve_text(row))


def shown_counts() -> list[ShownKind]:
    """By item all, else counts of any item and what stands out."""
    found = []
    for by in KINDS:
        rows = FailureTally.objects.filter(by=by)
        if by != FailureTally.By.ITEM:
            rows = rows.filter(Q(item="") | Q(stands_out=True))
        shown = _shown(rows, MOST_SHOWN, brief=True)
        has_more = by != FailureTally.By.ITEM or len(shown) > MOST_SHOWN
        found.append(_kind(by, shown[:MOST_SHOWN], has_more=has_more))
    return [each for each in found if each.rows]


def _shown(rows: FailureTallyQuerySet, most: int, *, brief: bool = False) -> list[ShownTally]:
    """One more than so many, which tells that there are more."""
    found = []
    for row in rows.in_order()[: most + 1]:
        item = tallied_item(row)
        found.append(ShownTally(
            row, item if row.model or row.site_id else upper_first(item), tallied_text(row),
            often_text(row), ratio_text(row), tally_course_text(row, shown_alone=brief),
        ))  # fmt: skip
    return found


def _kind(by: str, rows: Sequence[ShownTally], *, has_more: bool, after: str = "") -> ShownKind:
    against = LATELY if by == FailureTally.By.ITEM else OTHERS
    return ShownKind(by, words(KINDS, by), str(against), rows, has_more, after)


@require_safe
def counts_page(request: HttpRequest, by: str) -> HttpResponse:
    """All counts of one kind, to the company's people; what stands out first."""
    member_of_company(request)
    if by not in KINDS:
        raise Http404
    rows = FailureTally.objects.filter(_beyond(request.GET.get("after", "")), by=by)
    found = _shown(rows, PAGE)
    after = _key(found[PAGE - 1].row) if len(found) > PAGE else ""
    kind = _kind(by, found[:PAGE], has_more=False, after=after)
    context: dict[str, Any] = {"kind": kind}
    return render(request, "schedules/patterns/counts.html", context)


def _key(row: FailureTally) -> str:
    return f"{int(row.stands_out)}.{row.failures}.{row.pk}"


def _beyond(key: str) -> Q:
    """Rows after the one that the key names."""
    if not key:
        return Q()
    parts = key.split(".")
    if len(parts) != 3 or not all(_is_number(part) for part in parts):
        raise Http404
    stands_out, failures, pk = (int(part) for part in parts)
    same = Q(stands_out=bool(stands_out))
    beyond = same & (Q(failures__lt=failures) | Q(failures=failures, pk__lt=pk))
    return beyond | Q(stands_out=False) if stands_out else beyond


def _is_number(text: str) -> bool:
    return text.isascii() and text.isdecimal() and len(text) < 10
