"""A week's sheet for a terminal: per day and technician the stops in order, then what is left."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence

from django.utils.translation import gettext as _

from schedules.models import PlannedRound, PlanVersion
from schedules.rounds.sheet import LeftLine, StopLine, WeekSheet, by_day
from schedules.rounds.telling import (
    beside_text,
    fans_text,
    load_texts,
    overload_texts,
    stake_text,
    sums_texts,
)
from schedules.wording.days import day_text
from schedules.wording.hours import span_text
from schedules.wording.rounds import broken_text, length_text, needs_text

INDENT = " " * 4
UNDER = " " * 18


def sheet_text(sheet: WeekSheet, width: int = 100) -> str:
    """The whole sheet, ending in a line break."""
    parts = [_heading(sheet.version), ""]
    for day, rounds in by_day(sheet.rounds):
        parts += [day_text(day).upper(), ""]
        for row in rounds:
            parts += [*_round(sheet, row, width), ""]
    if not sheet.rounds:
        parts += [_("Nobody goes."), ""]
    parts += [*_left_out(sheet.left_out, width), *_overload(sheet, width), *sums_texts(sheet)]
    return "\n".join(parts) + "\n"


def _heading(version: PlanVersion) -> str:
    plan = version.plan
    span = f"{day_text(plan.days[0])} – {day_text(plan.days[-1])}"
    if version.number:
        state = _("version {number}, published").format(number=version.number)
    else:
        state = _("draft, revision {revision}").format(revision=plan.revision)
    return _("Week {week}, {span}: {state}").format(week=plan, span=span, state=state)


def _round(sheet: WeekSheet, row: PlannedRound, width: int) -> Iterator[str]:
    told = [span_text(row.leave_minute, row.back_minute), *load_texts(row)]
    name = row.technician.called
    yield f"  {name}: {', '.join(told)}"
    yield from _broken(map(broken_text, row.broken), INDENT, width)
    for line in sheet.stops_of(row):
        yield from _stop(line, width)


def _stop(line: StopLine, width: int) -> Iterator[str]:
    row = line.row
    marks = [_("pinned")] if row.pinned else []
    if line.waiting_minutes:
        marks.append(_("{time} waiting").format(time=length_text(line.waiting_minutes)))
    hours = span_text(row.arrive_minute, row.leave_minute)
    mark = f" ({', '.join(marks)})" if marks else ""
    yield f"{INDENT}{hours:>13} {row.site.name}{mark}"
    if line.due:
        yield from _wrapped(fans_text(line.due), width)
    if line.forward:
        told = _("while there, due soon: {fans}").format(fans=fans_text(line.forward))
        yield from _wrapped(told, width)
    if line.skills:
        yield from _wrapped(needs_text(line.skills), width)
    if row.extra_minutes:
        yield from _wrapped(beside_text(row), width)
    yield from _wrapped(_("why: {reason}").format(reason=line.reason), width)
    yield from _wrapped(stake_text(row), width)
    yield from _broken(line.breaks, UNDER, width)


def _broken(texts: Iterable[str], indent: str, width: int) -> Iterator[str]:
    for text in texts:
        told = _("BREAKS: {what}").format(what=text)
        yield from textwrap.wrap(told, width, initial_indent=indent, subsequent_indent=indent)


def _left_out(lines: Sequence[LeftLine], width: int) -> Iterator[str]:
    if not lines:
        return
    yield _("LEFT OUT")
    yield ""
    for line in lines:
        mark = _(" (overdue before the next rounds)") if line.required else ""
        yield f"  {line.site.name}{mark}"
        yield from _wrapped(f"{fans_text(line.fans)}: {line.text}", width, INDENT)
    yield ""


def _overload(sheet: WeekSheet, width: int) -> Iterator[str]:
    if not sheet.overload:
        return
    yield _("OVERLOAD")
    yield ""
    for told in overload_texts(sheet):
        yield from _wrapped(told, width, "  ")
    yield ""


def _wrapped(text: str, width: int, indent: str = UNDER) -> list[str]:
    return textwrap.wrap(
        text, width, initial_indent=indent, subsequent_indent=indent, break_on_hyphens=False
    )
