"""What became of planned walk-throughs, in words."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.models import Blocker, Person
from schedules.done.figures import Figures
from schedules.done.judging import CALLED_OFF, WAITING, Judged, Outcome
from schedules.done.misses import Miss
from schedules.done.seen import Word
from schedules.wording.bookings import technician_name
from schedules.wording.days import day_text, short_day
from visits.models import NotReached
from visits.wording import ITEMS, REASONS, words
from visits.wording.names import Words

OUTCOMES: Words = {
    "kept": gettext_lazy("done by its day"),
    "later": gettext_lazy("done later in the week"),
    "excused": gettext_lazy("not done, with a reason"),
    "silent": gettext_lazy("not done, no word why"),
    "dropped": gettext_lazy("made safe or replaced first"),
    "ahead": gettext_lazy("still to come"),
}
DONE_REASONS: Words = {
    **{reason: REASONS[reason] for reason in NotReached.REASONS},
    CALLED_OFF: gettext_lazy("called off"),
    WAITING: gettext_lazy("something it waits for"),
}
ATTEMPTS: Words = {"2": gettext_lazy("Second attempt"), "3": gettext_lazy("Third attempt")}


def outcome_text(each: Judged, by: Person | None = None) -> str:
    """``done on Tue 1 Dec 2026 by A. Quill``; ``by`` where it was not who was to come."""
    planned = each.planned
    if each.outcome in (Outcome.KEPT, Outcome.LATER) and each.done_on:
        told = _("done on {day}").format(day=day_text(each.done_on))
        if by is not None:
            told = _("{told} by {who}").format(told=told, who=technician_name(by))
        return told if each.on_time else _("{told}, overdue by then").format(told=told)
    if each.outcome == Outcome.EXCUSED and each.word:
        return _("not done: {why}").format(why=word_text(each.word, planned.on))
    if each.outcome == Outcome.SILENT and each.in_part:
        return _("looked at in part, and nobody said why not all of it")
    if each.outcome == Outcome.SILENT:
        return _("not done, and nobody said why")
    return words(OUTCOMES, each.outcome)


def word_text(word: Word, planned_on: date) -> str:
    """``no access (gate locked)``, with its day where that is not the planned one."""
    if word.reason == WAITING:
        told = _("waiting: {what}").format(what=Blocker.Kind(word.item).label)
    elif word.item:
        told = f"{words(ITEMS, word.item)}, {words(DONE_REASONS, word.reason)}"
    else:
        told = words(DONE_REASONS, word.reason)
    if word.note:
        told = f"{told} ({word.note})"
    return told if word.on == planned_on else f"{told}, {day_text(word.on)}"


def figures_text(figures: Figures) -> str:
    """``14 of 20 done, 12 by their day, 13 on time; 4 not done with a reason, 2 without``."""
    outcomes = figures.outcomes
    return _(
        "{done} of {planned} done, {kept} by their day, {on_time} on time; {excused} not done with "
        "a reason, {silent} without a word"
    ).format(
        done=figures.done, planned=figures.planned, kept=outcomes[Outcome.KEPT],
        on_time=figures.on_time, excused=outcomes[Outcome.EXCUSED],
        silent=outcomes[Outcome.SILENT],
    )  # fmt: skip


def attempt_text(misses: Sequence[Miss], today: date) -> str:
    """``Second attempt; not reached on Tue 1 Dec: no access``."""
    if not misses:
        return ""
    number, last = len(misses) + 1, misses[-1]
    attempt = words(ATTEMPTS, str(number)) if number < 4 else _("Attempt {number}")
    attempt = attempt.format(number=number)
    day = short_day(last.on, today)
    if not last.reason:
        return _("{attempt}; planned for {day} and not done, no word why").format(
            attempt=attempt, day=day
        )
    why = words(DONE_REASONS, last.reason)
    told = _("{attempt}; not reached on {day}: {why}").format(attempt=attempt, day=day, why=why)
    alike = alike_in_a_row(misses)
    return told if alike < 2 else _("{told}, {times} times in a row").format(told=told, times=alike)


def alike_in_a_row(misses: Sequence[Miss]) -> int:
    """How many of the last misses have the last one's reason."""
    reasons = [miss.reason for miss in misses if miss.reason]
    others = (at for at, reason in enumerate(reversed(reasons)) if reason != reasons[-1])
    return next(others, len(reasons))


def days_list(days: Sequence[date]) -> str:
    """``Tue 24 Nov 2026 and Tue 1 Dec 2026``."""
    told = [day_text(day) for day in days]
    if len(told) < 2:
        return "".join(told)
    return _("{days} and {last}").format(days=", ".join(told[:-1]), last=told[-1])
