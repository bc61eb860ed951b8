"""The due list for a terminal: who is due by when, and why; coloured only where somebody looks."""

from __future__ import annotations

import os
import shutil
import textwrap
from collections.abc import Iterator, Sequence
from datetime import datetime
from itertools import groupby
from operator import attrgetter
from typing import Any, TextIO

from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.models import Site
from schedules import wording
from schedules.due.lines import DueLine
from schedules.due.lists import DueFilters, count_due, due_page, filtered, undated
from schedules.due.local_days import LocalDays, days_at
from schedules.models import DueState

NARROWEST, WIDEST = 60, 110
INDENT = "    "
BOLD, LOUD, PLAIN = "\x1b[1m", "\x1b[1;31m", "\x1b[0m"


def write_due_list(
    out: TextIO, *, now: datetime, most: int = 30, filters: DueFilters | None = None
) -> None:
    """Write the first ``most`` fans due, and how many there are, to ``out``."""
    days, filters = days_everywhere(now), filters or DueFilters()
    page = due_page(DueState.objects.all(), days=days, filters=filters, size=most)
    width = terminal_width()
    coloured = out.isatty() and "NO_COLOR" not in os.environ
    write_plainly(out, due_list_text(page.lines, width=width, coloured=coloured))
    told = _counted(filtered(DueState.objects.all(), filters, days), days)
    if page.next_key is not None:
        told += " " + _("Shown here: the first {shown}.").format(shown=len(page.lines))
    write_plainly(out, f"\n{told}\n")


def days_everywhere(now: datetime) -> LocalDays:
    """What day it is at every site."""
    return days_at(now, Site.objects.all().zones())


def _counted(states: QuerySet[DueState], days: LocalDays) -> str:
    """How many are due, and how many have no date at all, which no list of dates shows."""
    counts = count_due(states, days)
    overdue = ngettext("{fans} fan is overdue", "{fans} fans are overdue", counts.overdue)
    week = ngettext("{fans} more is due", "{fans} more are due", counts.week)
    told = _("{overdue}, {week} now or within a week.").format(
        overdue=overdue.format(fans=counts.overdue), week=week.format(fans=counts.week)
    )
    without = undated(states).count()
    if without:
        told += " " + ngettext(
            "{fans} fan has no date: reckon tells why.",
            "{fans} fans have no date: reckon tells why.",
            without,
        ).format(fans=without)
    return told


def terminal_width() -> int:
    """How wide lines may be."""
    return min(max(shutil.get_terminal_size().columns, NARROWEST), WIDEST)


def write_plainly(out: Any, text: str) -> None:
    """Write what the terminal's encoding has; signs it lacks become question marks."""
    encoding = getattr(out, "encoding", None) or "utf-8"
    out.write(text.encode(encoding, "replace").decode(encoding))


def due_list_text(lines: Sequence[DueLine], *, width: int, coloured: bool) -> str:
    """Lines under their headings: day, distance, verdict, fan and site in columns, then why."""
    columns = _Columns.of(lines)
    parts: list[str] = []
    for section, group in groupby(lines, key=attrgetter("section")):
        parts += ["", _paint(wording.section_name(section).upper(), BOLD, coloured), ""]
        for line in group:
            parts.append(columns.head(line, width, coloured))
            parts += _stop(line, width, coloured)
            parts += _reason(line, width)
    return "\n".join(parts) + "\n"


class _Columns:
    """How wide each column must be."""

    def __init__(self, cells: Sequence[tuple[str, ...]]) -> None:
        self.widths = [max(map(len, column), default=0) for column in zip(*cells, strict=True)]

    @classmethod
    def of(cls, lines: Sequence[DueLine]) -> _Columns:
        return cls([_cells(line) for line in lines])

    def head(self, line: DueLine, width: int, coloured: bool) -> str:
        """One fan's first line, cut where the terminal ends."""
        day, distance, verdict, fan = (
            cell.ljust(wide) for cell, wide in zip(_cells(line), self.widths, strict=True)
        )
        room = width - sum(self.widths) - 2 * len(self.widths)
        site = line.state.site.name
        if len(site) > room:
            site = site[: max(room - 1, 0)] + "…"
        if line.days_over:
            distance = _paint(distance, LOUD, coloured)
        loud = {"stop": LOUD, "act": BOLD}.get(wording.verdict_code(line.state), "")
        return "  ".join([day, distance, _paint(verdict, loud, coloured), fan, site]).rstrip()


def _cells(line: DueLine) -> tuple[str, ...]:
    verdict = wording.verdict_text(line.state) if wording.verdict_code(line.state) else ""
    return (
        wording.due_text(line),
        wording.distance_text(line),
        verdict,
        line.state.fan.tag,
    )


def _stop(line: DueLine, width: int, coloured: bool) -> Iterator[str]:
    """A stop that the line's day says nothing of, before its reason."""
    text = wording.stop_text(line)
    told = _("STOP: {text}").format(text=text) if text else ""
    return (_paint(part, LOUD, coloured) for part in _wrapped(told, width))


def _reason(line: DueLine, width: int) -> Iterator[str]:
    for text in (wording.reason_text(line), *wording.notes_of(line)):
        yield from _wrapped(text, width)


def _wrapped(text: str, width: int) -> list[str]:
    return textwrap.wrap(
        text, width, initial_indent=INDENT, subsequent_indent=INDENT, break_on_hyphens=False
    )


def _paint(text: str, style: str, coloured: bool) -> str:
    return f"{style}{text}{PLAIN}" if coloured and style else text
