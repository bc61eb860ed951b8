"""A fan's past in three lines: its looks, its troubles, what is open and what the owner said."""

from __future__ import annotations

from datetime import date

from django.utils.text import Truncator
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from schedules.engine.findings import Finding
from schedules.round_sheet.fan_file import VERDICTS as VERDICT_OF
from schedules.round_sheet.past import (
    CALL_BACK,
    FAILED,
    Look,
    Trouble,
    looks_that_count,
    troubles_that_count,
)
from schedules.round_sheet.records import Advice, Record
from schedules.wording import day_text, short_day
from visits.wording import ANSWERS, VERDICTS, VISIT_KINDS, WORK, subject_words, words
from visits.wording.names import upper_first

MOST_NAMED = 3
ADVICE_SIGNS = 110


def looks_text(record: Record) -> str:
    """The last complete look, with its worst verdict, and the last one since in part."""
    looks = looks_that_count(record.looks)
    if not looks:
        return _("Nobody has looked at it yet.")
    return " ".join(_look(each, record.day) for each in looks)


def _look(look: Look, today: date) -> str:
    told = _("{day}, {kind}, complete: {found}.") if look.is_complete else _(
        "{day}, {kind}, in part: {found}."
    )  # fmt: skip
    return told.format(
        day=short_day(look.on, today), kind=words(VISIT_KINDS, look.kind), found=found_text(look)
    )


def found_text(look: Look) -> str:
    """The worst verdict and what got it: ``act on hinge and belt``."""
    subjects = look.worst_subjects
    if not subjects:
        return _("nothing above within")
    named = ", ".join(map(subject_words, subjects[:MOST_NAMED]))
    if (more := len(subjects) - MOST_NAMED) > 0:
        named += " " + ngettext("and {count} more", "and {count} more", more).format(count=more)
    return _("{verdict} on {subjects}").format(verdict=words(VERDICTS, look.worst), subjects=named)


def troubles_text(record: Record) -> str:
    """The last failure, the last mending, and since when the machine is in place."""
    told = [_trouble(each) for each in troubles_that_count(record.troubles)]
    told = told or [_("no failure and no repair on record")]
    return f"{upper_first('; '.join([*told, _since(record)]))}."


def _trouble(each: Trouble) -> str:
    item, day = subject_words(each.item), day_text(each.on)
    if each.what == FAILED:
        return _("failed {day}: {item}").format(day=day, item=item)
    if each.what == CALL_BACK:
        return _("call-back {day}: {item}, repaired within the 30 days before").format(
            day=day, item=item
        )
    return _("{item} {done} {day}").format(item=item, done=words(WORK, each.what), day=day)


def _since(record: Record) -> str:
    since = record.machine and record.machine["installed_on"]
    if not since:
        return _("machine in place since before this record")
    return _("machine in place since {day}").format(day=day_text(since))


def open_text(record: Record) -> str:
    """Findings that stand, worst first, and advice with what the owner answered."""
    if record.findings is None:
        return _("The open findings cannot be read; see its page.")
    found = [_finding(each, record.day) for each in record.open]
    advice = [_advised(each) for each in record.advice]
    return " ".join([*found, *advice]) or _("Nothing.")


def _finding(finding: Finding, today: date) -> str:
    told = _("{subject}, {verdict}, last seen {day}.").format(
        subject=upper_first(subject_words(finding.subject)),
        verdict=words(VERDICTS, VERDICT_OF[finding.verdict]),
        day=short_day(date.fromordinal(finding.seen_day), today),
    )
    return f"{told} {_('The owner declined.')}" if finding.declined else told


def _advised(advice: Advice) -> str:
    text = Truncator(" ".join(advice.row.text.split()).rstrip(".")).chars(ADVICE_SIGNS)
    return _("Advised {day}: “{text}”; {answer}.").format(
        day=day_text(advice.row.visit.local_on), text=text, answer=_answer(advice)
    )


def _answer(advice: Advice) -> str:
    if not advice.answer:
        return (
            _("no answer needed, the agreement leaves it to us")
            if advice.needs_no_answer
            else _("no answer yet")
        )
    told = words(ANSWERS, advice.answer)
    if advice.not_before:
        until = _("not before {day}").format(day=day_text(advice.not_before))
        told = f"{told}, {until}"
    day = day_text(advice.answered_on) if advice.answered_on else ""
    return _("owner: {answer} ({day})").format(answer=told, day=day)
