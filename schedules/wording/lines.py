"""The due list's lines in words: by when, why, what stands open, whose yes is needed."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from schedules.due.evidence import VERDICT_NAMES
from schedules.due.lines import DueLine
from schedules.engine import restart
from schedules.engine.codes import ACT
from schedules.engine.record import RuleDate
from schedules.models import DueState
from schedules.wording.days import day_text, days_left_text, overdue_text, short_day
from schedules.wording.rules import finding_name, rule_name
from schedules.wording.seen import seen_text, told_text
from schedules.wording.untold import fault_sentence
from visits.models import NotReached, RunningTold
from visits.wording import ITEMS, REASONS, RUNNING, VERDICTS, words
from visits.wording.names import Words, upper_first

SECTION_NAMES: Words = {
    "overdue": gettext_lazy("Overdue"),
    "week": gettext_lazy("Due now or within a week"),
    "later": gettext_lazy("Later"),
}


def section_name(section: str) -> str:
    """The heading above a section's lines."""
    return words(SECTION_NAMES, section)


def due_text(line: DueLine) -> str:
    """The due day as a list shows it: ``Tue 3 Mar``."""
    return short_day(line.state.due_on, line.today) if line.state.due_on else _("no day")


def distance_text(line: DueLine) -> str:
    """How far from the due day: ``15 days ago, overdue``, ``3 days ago``, ``in 3 days``."""
    if line.days_left is None:
        return ""
    return overdue_text(-line.days_left) if line.days_over else days_left_text(line.days_left)


def reason_text(line: DueLine) -> str:
    """What drives the line's day, in a sentence."""
    if line.driving is None:
        return dateless_text(line.state)
    return told_text(line.driving, line.seen.get(line.driving.rule))


def stop_text(line: DueLine) -> str:
    """The stop that stands behind another date; empty where there is none or the line names it."""
    stop = line.hidden_stop
    if stop is None:
        return ""
    seen = seen_text(stop.seen)
    if seen and any(told.rule == restart.number for told in line.dates):
        return _("{seen} The fan is out of service.").format(seen=seen)
    return told_text(stop.told, stop.seen)


def notes_of(line: DueLine) -> list[str]:
    """What else the line must say: another rule overdue, waiting, a yes needed, data in doubt."""
    state, notes = line.state, []
    if line.overdue_by is not None:
        notes.append(_overdue_text(line, line.overdue_by))
    if line.state.worst_verdict == ACT:
        notes += _worst_open(line)
    if line.kitchen is not None:
        notes.append(kitchen_text(line.kitchen))
    if line.awaits_first:
        notes.append(_("The day given for its first visit when the fleet came in."))
    notes += [_not_reached_text(row) for row in line.not_reached]
    if line.beyond is not None:
        notes.append(beyond_text(line))
    if state.fault and line.dates:
        notes.append(fault_sentence(state.fault))
    elif state.revision != state.reckoned_revision and line.dates:
        notes.append(_("Something was entered since; the day is being reckoned anew."))
    return notes


def _overdue_text(line: DueLine, told: RuleDate) -> str:
    """Another rule makes it overdue: at length once it has, unless its stop is told already."""
    if not line.days_over:
        return _("Overdue after {day} ({rule}).").format(
            day=day_text(told.overdue_after_day), rule=rule_name(told.rule)
        )
    first_day = day_text(told.overdue_after_day + 1)
    if line.stop and line.stop.told == told:
        return _("Overdue since {day}, by this stop.").format(day=first_day)
    reason = told_text(told, line.seen.get(told.rule))
    return _("Overdue since {day}. {reason}").format(day=first_day, reason=reason)


def _worst_open(line: DueLine) -> Iterator[str]:
    """What is to be acted on, where the line names something else; a stop has its own sentence."""
    verdict, worst = verdict_text(line.state), line.worst
    if worst is None and line.driving and line.driving.args.get("nth"):
        return  # a step that stands at the alarm says so itself
    if worst is None:
        # of a fan out of service no rule counts them; one there is
        counts = [1, *(int(told.args.get("open_count", 0)) for told in line.dates)]
        yield ngettext(
            "The worst that is open is {verdict}.",
            "{count} findings are open; the worst is {verdict}.",
            count := max(counts),
        ).format(count=count, verdict=verdict)
    elif worst != line.driving and not (line.days_over and worst == line.overdue_by):
        seen = seen_text(line.seen.get(worst.rule)) or f"{finding_name(worst)}."
        yield _("Also open, {verdict}: {seen}").format(verdict=verdict, seen=seen)


def _not_reached_text(row: NotReached) -> str:
    """What the last visit could not get at, and why."""
    what = upper_first(words(ITEMS, row.item)) if row.item else _("The fan")
    told = _("{what} was not reached on {day}: {reason}").format(
        what=what, day=day_text(row.visit.local_on), reason=words(REASONS, row.reason)
    )
    note = row.note.strip().rstrip(".")
    return f"{told}; {note}." if note else f"{told}."


def kitchen_text(row: RunningTold) -> str:
    """What a kitchen said of a fan, by which typed name."""
    told = _("The kitchen said on {day}: {answer} ({who}).").format(
        day=day_text(row.told_on), answer=words(RUNNING, row.answer), who=row.told_by
    )
    return f"{told} “{row.note}”" if row.note else told


def beyond_text(line: DueLine) -> str:
    """Whose yes it takes and why, or what was said."""
    assert line.beyond is not None  # noqa: S101
    if answer := line.beyond.answer:
        told = (
            _("{owner} said yes on {day} to this visit beyond those bought ({who}).")
            if line.beyond.is_agreed
            else _("{owner} said no on {day} to this visit beyond those bought ({who}).")
        )
        told = told.format(
            owner=line.state.owner.name, day=day_text(answer.decided_on), who=answer.decided_by
        )
        return f"{told} “{answer.note}”" if answer.note else told
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
