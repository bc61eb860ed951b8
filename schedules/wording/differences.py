"""How versions of a week's rounds differ, in words."""

from __future__ import annotations

from django.utils.translation import gettext as _

from schedules.models import PlannedRound, PlannedStop
from schedules.rounds.comparing import Difference
from schedules.wording.bookings import technician_name
from schedules.wording.days import day_text
from schedules.wording.hours import span_text


def difference_text(each: Difference) -> str:
    """How a stop differs from the version before."""
    told = {
        "new": _("{site}: new, {to}"),
        "gone": _("{site}: no longer planned, was {was}"),
        "moved": _("{site}: moved from {was} to {to}"),
        "retimed": _("{site}: {to}, was {was}"),
        "work": _("{site}: other fans, {to}"),
    }
    was = _when(*each.was) if each.was else ""
    becomes = _when(*each.becomes) if each.becomes else ""
    return told[each.kind].format(site=each.stop.site.name, was=was, to=becomes)


def _when(each: PlannedRound, stop: PlannedStop) -> str:
    """``Tue 1 Dec 2026, 9:00–11:00, J. Park``."""
    hours = span_text(stop.start_minute, stop.leave_minute)
    return f"{day_text(each.day)}, {hours}, {technician_name(each.technician)}"
