"""The due list's lines in words: by when, why, what stands open, whose yes is needed."""

from __future__ import annotations

from datetime import timedelta

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from schedules.due.evidence import VERDICT_NAMES
from schedules.due.lists import DueLine
from schedules.due.reckoning import STANDARD
from schedules.engine.record import RuleDate
from schedules.models import DueState
from schedules.wording.days import day_text, days_left_text, days_over_text, short_day
from schedules.wording.rules import rule_name
from schedules.wording.seen import told_text
from schedules.wording.untold import fault_sentence
from visits.wording import VERDICTS, words
from visits.wording.names import Words

ONBOARDING_GRACE = timedelta(days=STANDARD.onboarding.grace_days)

SECTION_NAMES: Words = {
    "overdue": gettext_lazy("Overdue"),
    "week": gettext_lazy("Due within a week"),
    "later": gettext_lazy("Later"),
}


def section_name(section: str) -> str:
    """The heading above a section's lines."""
    return words(SECTION_NAMES, section)


def due_text(line: DueLine) -> str:
    """The due day as a list shows it: ``Tue 3 Mar``."""
    return short_day(line.state.due_on, line.today) if line.state.due_on else _("no day")


def distance_text(line: DueLine) -> str:
    """How far over or away: ``12 days over``, ``in 3 days``."""
    if line.days_over:
        return days_over_text(line.days_over)
    return "" if line.days_left is None else days_left_text(line.days_left)


def reason_text(line: DueLine) -> str:
    """What drives the line's day, in a sentence."""
    if line.driving is None:
        return dateless_text(line.state)
    return told_text(line.driving, line.seen.get(line.driving.rule))


def notes_of(line: DueLine) -> list[str]:
    """What else the line must say: another rule overdue, waiting, a yes needed, data in doubt."""
    state, notes = line.state, []
    if line.overdue_by is not None:
        notes.append(_overdue_text(line, line.overdue_by))
    if _is_first_visit(state):
        notes.append(_("The day given for its first visit when the fleet came in."))
    if line.beyond is not None:
        notes.append(beyond_text(line))
    if state.fault and line.dates:
        notes.append(fault_sentence(state.fault))
    elif state.revision != state.reckoned_revision and line.dates:
        notes.append(_("Something was entered since; the day is being reckoned anew."))
    return notes


def _is_first_visit(state: DueState) -> bool:
    """The day is the one given at the first import, with the grace that goes with it."""
    given, after = state.fan.onboarding_on, state.overdue_after
    return given is not None and given == state.due_on and after == given + ONBOARDING_GRACE


def _overdue_text(line: DueLine, told: RuleDate) -> str:
    """Another rule makes it overdue: at length once it has."""
    day = day_text(told.overdue_after_day)
    if line.days_over:
        return _("Overdue since {day}. {reason}").format(
            day=day, reason=told_text(told, line.seen.get(told.rule))
        )
    return _("Overdue after {day} ({rule}).").format(day=day, rule=rule_name(told.rule))


def beyond_text(line: DueLine) -> str:
    """Whose yes it takes, and why."""
    assert line.beyond is not None  # noqa: S101
    return ngettext(
        "Needs {owner}'s yes: the one visit bought for the year from {day} is made.",
        "Needs {owner}'s yes: the {visits} visits bought for the year from {day} are made.",
        line.beyond.visits,
    ).format(
        owner=line.state.owner.name,
        visits=line.beyond.visits,
        day=day_text(line.beyond.year_on),
    )


def dateless_text(state: DueState) -> str:
    """Why a fan has no date at all."""
    if state.fault:
        return fault_sentence(state.fault)
    return _("Not reckoned yet; dates come within minutes.")


def verdict_code(state: DueState) -> str:
    """The worst of what is open, as the marks name it; empty where nothing is."""
    if state.worst_verdict < 2:
        return ""
    return VERDICT_NAMES[state.worst_verdict]


def verdict_text(state: DueState) -> str:
    """The worst of what is open, in a word."""
    code = verdict_code(state)
    return words(VERDICTS, code) if code else _("nothing open")


def driver_text(line: DueLine) -> str:
    """The name of the rule that gives the day: ``walk-through``."""
    return rule_name(line.driving.rule) if line.driving else ""
