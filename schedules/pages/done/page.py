"""Planned against done: over the weeks, by technician, site and owner."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from config.spreadsheets import KIND, csv_bytes
from fleet.models import Owner, Person, Site, technicians
from schedules.done.figures import Done, Figures
from schedules.done.judging import Outcome
from schedules.done.misses import no_way_up
from schedules.done.names import names_of
from schedules.done.planned import DAY, WEEK
from schedules.pages.done.asking import Asked, asked_by, member_of_company
from schedules.weeks import iso_week
from schedules.wording import day_text, short_day
from schedules.wording.done import (
    DONE_REASONS,
    OUTCOMES,
    days_list,
    figures_text,
)
from schedules.wording.rounds import skills_text
from schedules.wording.rules import rule_name
from visits.wording import words
from visits.wording.names import upper_first

MOST_ROWS = 25
"""Rows of a table by name, those with most left undone first; the file holds all."""
SEGMENTS = (Outcome.KEPT, Outcome.LATER, Outcome.EXCUSED, Outcome.SILENT)


@dataclass(frozen=True)
class Segment:
    """A piece of a row's bar, in shares of the longest one."""

    kind: str
    x: str
    width: str


@dataclass(frozen=True)
class FigureRow:
    """One row: its name, its bar, its figures; ``address`` asks for the stops behind it."""

    name: str
    figures: Figures
    segments: Sequence[Segment]
    summary: str
    address: str

    @property
    def excused(self) -> int:
        return self.figures.outcomes[Outcome.EXCUSED]

    @property
    def silent(self) -> int:
        return self.figures.outcomes[Outcome.SILENT]


@require_safe
def done_page(request: HttpRequest) -> HttpResponse:
    """Figures of the weeks asked for; a technician's own, nobody else's."""
    person, now = member_of_company(request), timezone.now()
    asked = asked_by(request.GET.dict(), person, now)
    done = asked.read(now)
    total = done.total
    today = now.date()
    context: dict[str, Any] = {
        "asked": asked,
        "address": asked.address(),
        "span": f"{short_day(asked.first, today)} – {day_text(asked.last + WEEK - DAY)}",
        "first": iso_week(asked.first), "last": iso_week(asked.last),
        "total": total,
        "summary": upper_first(figures_text(total)),
        "reasons": [
            (upper_first(words(DONE_REASONS, reason)), count,
             asked.address(outcome="excused", reason=reason))
            for reason, count in total.reasons.most_common()
        ],
        "weeks": _weeks(done, asked),
        "tables": list(_tables(done, asked, person)),
        "narrowed": _narrowed_to(asked, person),
        "people": _technicians() if person.plans else (),
        "no_way_up": [
            (each, days_list(each.days)) for each in no_way_up(now)
        ] if person.plans and not (asked.site or asked.owner or asked.technician) else (),
    }  # fmt: skip
    return render(request, "schedules/done/page.html", context)


def _technicians() -> Sequence[Person]:
    return list(technicians().order_by("last_name", "first_name", "pk"))


def _narrowed_to(asked: Asked, person: Person) -> list[tuple[str, str]]:
    """What the figures are narrowed to, each with an address without it."""
    found = []
    for name, model in (("technician", Person), ("site", Site), ("owner", Owner)):
        pk = getattr(asked, name)
        row: Any = model._default_manager.filter(pk=pk).first() if pk else None
        if row and not (name == "technician" and not person.plans):
            told = row.called if isinstance(row, Person) else row.name
            found.append((told, asked.address(**{name: None})))
    return found


def _weeks(done: Done, asked: Asked) -> list[FigureRow]:
    figures = done.by_name("week")
    mondays = []
    monday = asked.last
    while monday >= asked.first:
        mondays.append(monday)
        monday -= WEEK
    rows = [(iso_week(each), figures.get(each, Figures()), {"first": each, "last": each})
            for each in mondays]  # fmt: skip
    return _rows(rows, asked)


def _tables(done: Done, asked: Asked, person: Person) -> Iterable[tuple[str, list[FigureRow], int]]:
    """By technician, site and owner, unless the page is about one of them."""
    shown = [
        ("technician", _("By technician"), person.plans and asked.technician is None),
        ("site", _("By site"), asked.site is None),
        ("owner", _("By owner"), asked.owner is None and asked.site is None),
    ]
    for name, heading, wanted in shown:
        if wanted:
            figures = {
                key: each for key, each in done.by_name(name).items() if key and each.planned
            }
            ordered = sorted(figures, key=lambda key: (-figures[key].not_done, key))[:MOST_ROWS]
            names = names_of(name, ordered)
            rows = [(names.get(key, "?"), figures[key], {name: key}) for key in ordered]
            if rows:
                yield heading, _rows(rows, asked), len(figures) - len(rows)


def _rows(rows: Sequence[tuple[str, Figures, Mapping[str, Any]]], asked: Asked) -> list[FigureRow]:
    longest = max((figures.planned for _, figures, _ in rows), default=0) or 1
    return [
        FigureRow(name, figures, list(_segments(figures, longest)), figures_text(figures),
                  asked.address(**changes))
        for name, figures, changes in rows
    ]  # fmt: skip


def _segments(figures: Figures, longest: int) -> Iterable[Segment]:
    x = 0.0
    for outcome in SEGMENTS:
        if count := figures.outcomes[outcome]:
            width = 100 * count / longest
            yield Segment(outcome.value, f"{x:.2f}%", f"{width:.2f}%")
            x += width


HEADING = (
    "week", "day", "site", "owner", "fan", "work", "technician", "outcome", "done on", "on time",
    "overdue after", "reason", "note",
)  # fmt: skip


@require_safe
def done_file(request: HttpRequest) -> HttpResponse:
    """Every promise of the page as a line of CSV."""
    person, now = member_of_company(request), timezone.now()
    asked = asked_by(request.GET.dict(), person, now)
    judged = [each for each in asked.read(now).judged if asked.holds(each)]
    people, sites, owners = (
        names_of(kind, {getattr(each.planned, kind) for each in judged})
        for kind in ("technician", "site", "owner")
    )
    rows = (
        (
            iso_week(each.planned.monday), each.planned.on.isoformat(), sites[each.planned.site],
            owners[each.planned.owner], each.planned.tag,
            " + ".join(map(rule_name, each.planned.rules)) or skills_text([each.planned.skill]),
            people[each.planned.technician], words(OUTCOMES, each.outcome),
            each.done_on.isoformat() if each.done_on else "",
            "" if each.done_on is None else _("yes") if each.on_time else _("no"),
            each.planned.overdue_after.isoformat(),
            words(DONE_REASONS, each.word.reason) if each.word else "",
            each.word.note if each.word else "",
        )
        for each in judged
    )  # fmt: skip
    name = f"planned-and-done-{iso_week(asked.first)}-{iso_week(asked.last)}.csv"
    answer = HttpResponse(csv_bytes(HEADING, rows), content_type=KIND)
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer
