"""A week's sheet as its page shows it: days, rounds, stops, what is left out, what went before."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from fleet.models import Person
from schedules.models import DRAFT, PlannedRound, PlanVersion, WeekPlan
from schedules.pages.week.answering import round_anchor
from schedules.pages.week.fixing import place_to_fix
from schedules.rounds.clocks import WeekClock
from schedules.rounds.comparing import differences
from schedules.rounds.drafts import PUBLISH
from schedules.rounds.sheet import StopLine, WeekSheet, by_day, is_late, past_shift_minutes
from schedules.rounds.storing import rounds_of
from schedules.rounds.telling import beside_text, fans_text, load_texts
from schedules.wording.bookings import technician_name
from schedules.wording.days import short_day
from schedules.wording.differences import difference_text
from schedules.wording.hours import span_text
from schedules.wording.money import money_text
from schedules.wording.rounds import (
    broken_text,
    change_text,
    did_text,
    length_text,
    needs_text,
)
from visits.wording.names import upper_first

ROOM_MINUTES = 45
"""A round with less than that free counts as full; our choice, about a short stop."""
SHOWN_CHANGES = 10


def short_span(plan: WeekPlan) -> str:
    """``Mon 7 Dec – Sun 13 Dec 2026``."""
    first, last = plan.days[0], plan.days[-1]
    return f"{short_day(first, last)} – {date_format(last, 'D j M Y')}"


def show_days(
    sheet: WeekSheet, clock: WeekClock, letters: Mapping[int, str], *, is_draft: bool
) -> list[dict[str, Any]]:
    """Days on which somebody goes, each with its rounds in order, by the letters they have."""
    return [
        {
            "day": day,
            "name": date_format(day, "l j F"),
            "is_past": day < clock.today,
            "rounds": [
                _round(sheet, row, is_draft and day >= clock.today) | {"letter": letters[row.pk]}
                for row in rounds
            ],
        }
        for day, rounds in by_day(sheet.rounds)
    ]


def _round(sheet: WeekSheet, row: PlannedRound, may_change: bool) -> dict[str, Any]:
    person, stops = row.technician, sheet.stops_of(row)
    return {
        "anchor": round_anchor(row.technician_id, row.day),
        "technician": row.technician_id,
        "name": person.called,
        "short_name": technician_name(person),
        "day": row.day,
        "hours": span_text(row.leave_minute, row.back_minute),
        "load": _load_text(row),
        "is_over": is_late(row),
        "facts": upper_first(", ".join(load_texts(row))),
        "breaks": [upper_first(broken_text(code)) for code in row.broken],
        "is_published": row.published,
        "stops": [_stop(line) for line in stops],
        "count": len(stops),
        "troubled": bool(row.broken) or any(line.row.broken for line in stops),
        "may_change": may_change,
    }


def _load_text(row: PlannedRound) -> str:
    """The round against its shift: ``full``, ``room for 1 h 08 more``, ``53 min overtime``."""
    if past := past_shift_minutes(row):
        told = _("back {time} late") if is_late(row) else _("{time} overtime")
        return told.format(time=length_text(past))
    if row.overtime_minutes:
        return _("into the reserve")
    if row.free_minutes < ROOM_MINUTES:
        return _("full")
    return _("room for {time} more").format(time=length_text(row.free_minutes))


def _stop(line: StopLine) -> dict[str, Any]:
    row = line.row
    return {
        "key": str(row.key),
        "site": row.site,
        "arrive": span_text(row.arrive_minute, row.leave_minute),
        "work": fans_text(line.due),
        "forward": fans_text(line.forward),
        "beside": upper_first(beside_text(row)) if row.extra_minutes else "",
        "needs": upper_first(needs_text(line.skills)),
        "reason": upper_first(line.reason),
        "waiting_costs": money_text(round(row.prize)) if round(row.prize) else "",
        "coming_costs": money_text(round(row.detour_cost)),
        "idle": length_text(line.waiting_minutes) if line.waiting_minutes else "",
        "breaks": [upper_first(told) for told in line.breaks],
        "pinned": row.pinned,
        "keeps_hours": row.keeps_hours,
    }


def show_left_out(sheet: WeekSheet, reader: Any) -> list[dict[str, Any]]:
    """What no round does, with why and where that is put right."""
    first = {line.site.pk: n for n, line in reversed([*enumerate(sheet.left_out)])}
    return [
        {
            "anchor": f"left-{line.site.pk}" if first[line.site.pk] == n else "",
            "site": line.site,
            "required": line.required,
            "fans": fans_text(line.fans),
            "why": upper_first(line.text),
            "fix": place_to_fix(line, reader),
        }
        for n, line in enumerate(sheet.left_out)
    ]


def show_past(sheet: WeekSheet, clock: WeekClock) -> dict[str, Any]:
    """Versions published, what differs from the one before, who did what last."""
    version, plan = sheet.version, sheet.version.plan
    versions = list(
        plan.versions.filter(number__gt=DRAFT).select_related("published_by").order_by("-number")
    )
    before = next((each for each in versions if each.number == version.number - 1), None)
    if version.number == DRAFT:
        before = versions[0] if versions else None
    changes = list(plan.changes.select_related("by")[:SHOWN_CHANGES])
    last = next((each for each in changes if not each.undone), None)
    return {
        "versions": [(each, _published_text(each, clock)) for each in versions],
        "compared": before,
        "differences": [
            difference_text(each) for each in differences(rounds_of(before), sheet.rounds)
        ]
        if before
        else [],
        "changes": [change_text(each, clock.zone) for each in changes],
        "last_change": change_text(changes[0], clock.zone) if changes else "",
        "to_undo": did_text(last) if last and last.kind != PUBLISH else "",
    }


def _published_text(version: PlanVersion, clock: WeekClock) -> str:
    """``Version 2, Fri 4 Dec 2026, 16:20, D. Reyes``."""
    at = version.published_at.astimezone(clock.zone) if version.published_at else None
    by: Person | None = version.published_by
    told = [
        _("Version {number}").format(number=version.number),
        date_format(at, "D j M Y, H:i") if at else "",
        technician_name(by) if by else "",
    ]
    return ", ".join(filter(None, told))
