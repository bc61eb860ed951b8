"""A fan found standing still, or not doing its work, in its owner's words."""

from __future__ import annotations

from django.utils.translation import gettext as _

from schedules.due.lines import DueLine
from schedules.due.still import RUNNING, FoundStill
from schedules.engine import follow_up
from schedules.engine.codes import subject_code
from schedules.engine.record import RuleDate
from schedules.wording.days import day_text
from visits.wording import owner_subject


def found_still_told(line: DueLine) -> str:
    """When it was found so and what that means, and the kitchen's word since; what a date beside
    it says is not said again."""
    still = line.still
    if still is None:
        return ""
    return " ".join(text for text in (_found(line, still), _said(still)) if text)


def _found(line: DueLine, still: FoundStill) -> str:
    on = day_text(still.on)
    if still.item:
        return _(
            "On {day} our technician found that it did not do its work ({what}). If that is still "
            "so, nothing may be cooked under its hood."
        ).format(day=on, what=owner_subject(still.item))
    stop = line.stop.told if line.stop else None
    if any(_says_so(told) for told in (stop, line.driving, line.overdue_by)):
        return ""
    return _(
        "Found standing still on {day}: nothing may be cooked under its hood while it stands."
    ).format(day=on)


def _said(still: FoundStill) -> str:
    row = still.said_to_run
    if row is None:
        return ""
    return _(
        "Your kitchen said on {day} that it is running ({who}); nobody of ours has looked since."
    ).format(day=day_text(row.told_on), who=row.told_by)


def _says_so(told: RuleDate | None) -> bool:
    if told is None or told.rule != follow_up.number:
        return False
    return told.args["subject"] == subject_code(RUNNING)
