"""A week's sheet for a terminal: per day and technician the stops in order, then what is left."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping, Sequence

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from schedules.models import PlannedRound, PlanVersion
from schedules.rounds.sheet import (
    CureLine,
    FanLine,
    LeftLine,
    StopLine,
    WeekSheet,
    by_day,
    past_shift_minutes,
)
from schedules.wording.bookings import technician_name
from schedules.wording.days import day_text
from schedules.wording.hours import clock_text
from schedules.wording.money import money_text
from schedules.wording.rounds import (
    broken_text,
    length_text,
)

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
    parts += [*_left_out(sheet.left_out, width), *_overload(sheet, width), *_sums(sheet)]
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
    told = [
        f"{clock_text(row.leave_minute)}–{clock_text(row.back_minute)}",
        _("driving {time}, {km} km").format(
            time=length_text(row.travel_minutes), km=f"{row.travel_m / 1000:.0f}"
        ),
        _("{time} free").format(time=length_text(row.free_minutes)),
    ]
    past = past_shift_minutes(row)
    if (used := row.overtime_minutes - past) > 0:
        told.append(_("{time} of the reserve used").format(time=length_text(used)))
    if past:
        told.append(_("back {time} after the shift's end").format(time=length_text(past)))
    name = row.technician.get_full_name() or row.technician.username
    yield f"  {name}: {', '.join(told)}"
    yield from _broken(row.broken, INDENT, width)
    for line in sheet.stops_of(row):
        yield from _stop(line, width)


def _stop(line: StopLine, width: int) -> Iterator[str]:
    row = line.row
    marks = [_("pinned")] if row.pinned else []
    if line.waiting_minutes:
        marks.append(_("{time} waiting").format(time=length_text(line.waiting_minutes)))
    hours = f"{clock_text(row.arrive_minute)}–{clock_text(row.leave_minute)}"
    mark = f" ({', '.join(marks)})" if marks else ""
    yield f"{INDENT}{hours:>13} {row.site.name}{mark}"
    due = [each for each in line.fans if not each.row.pulled_forward]  # type: ignore[union-attr]  # a stop's
    forward = [each for each in line.fans if each not in due]
    if due:
        yield from _wrapped(fans_text(due), width)
    if forward:
        told = _("while there, due soon: {fans}").format(fans=fans_text(forward))
        yield from _wrapped(told, width)
    if row.extra_minutes:
        told = _("{time} booked beside that").format(time=length_text(row.extra_minutes))
        yield from _wrapped(f"{told} {row.booking.note if row.booking else ''}".rstrip(), width)
    yield from _wrapped(_("why: {reason}").format(reason=line.reason), width)
    yield from _broken(row.broken, UNDER, width)


def fans_text(lines: Sequence[FanLine]) -> str:
    """``EF-1, EF-3 walk-through; EF-2 code inspection``: fans by what they are due for."""
    by_fan: dict[str, list[str]] = {}
    for line in lines:
        by_fan.setdefault(line.row.fan.tag, []).extend(line.rules)
    by_rules: dict[str, list[str]] = {}
    for tag, rules in by_fan.items():
        by_rules.setdefault(" + ".join(dict.fromkeys(rules)), []).append(tag)
    return "; ".join(f"{', '.join(tags)} {rules}" for rules, tags in by_rules.items())


def _broken(codes: Sequence[str], indent: str, width: int) -> Iterator[str]:
    for code in codes:
        told = _("BREAKS: {what}").format(what=broken_text(code))
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
    told = sheet.overload
    if not told:
        return
    yield _("OVERLOAD")
    yield ""
    count = len(told["sites"])
    yield from _wrapped(
        ngettext(
            "One site that must not wait has no place: {time} of work too much.",
            "{count} sites that must not wait have no place: {time} of work too much.",
            count,
        ).format(count=count, time=length_text(told["minutes"])),
        width,
        "  ",
    )
    for cure in sheet.cures:
        yield from _wrapped(_cure(cure), width, "  ")
    if told["days_leave"]:
        yield from _wrapped(_("Even then some sites stay without a place."), width, "  ")
    waiting = _("Waiting for the next week is reckoned to cost {cost}.")
    yield from _wrapped(waiting.format(cost=money_text(round(told["delay_cost"]))), width, "  ")
    yield ""


def _cure(cure: CureLine) -> str:
    who = technician_name(cure.technician) if cure.technician else "?"
    sites = ", ".join(site.name for site in cure.sites)
    if cure.minutes is None:
        told = _("A day more, as {who} has on {day}, would do {sites}.")
        return told.format(who=who, day=day_text(cure.day), sites=sites)
    told = _("{time} more of {who} on {day} would do {sites}.")
    return told.format(time=length_text(cure.minutes), who=who, day=day_text(cure.day), sites=sites)


def _sums(sheet: WeekSheet) -> Iterator[str]:
    figures: Mapping[str, float] = sheet.version.figures
    if not figures:
        return
    stops = sum(len(row.stops.all()) for row in sheet.rounds)
    yield _("{rounds} rounds, {stops} stops; driving {time}, {km} km.").format(
        rounds=len(sheet.rounds), stops=stops, time=length_text(figures["travel_minutes"]),
        km=f"{figures['travel_m'] / 1000:.0f}",
    )  # fmt: skip
    money = {
        name: money_text(round(figures[name]))
        for name in ("rounds_cost", "waiting_avoided", "waiting_left")
    }
    yield _(
        "Rounds cost {rounds_cost}; they avoid {waiting_avoided} of waiting and leave "
        "{waiting_left}."
    ).format(**money)


def _wrapped(text: str, width: int, indent: str = UNDER) -> list[str]:
    return textwrap.wrap(
        text, width, initial_indent=indent, subsequent_indent=indent, break_on_hyphens=False
    )
