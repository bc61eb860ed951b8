"""What became of each promise: pure, from what is on record and the day it is at the site."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from schedules.done.planned import Planned
from schedules.done.seen import Look, Seen, Wait, Word
from schedules.engine import failure_odds, hours, inspection, restart, walk_through

WHOLE_LOOK = frozenset({walk_through.number, failure_odds.number, restart.number})
"""Rules that only a look settles which answers all that a walk-through requires."""
CALLED_OFF, WAITING = "called_off", "waiting"
"""Reasons that nobody gives: a booking withdrawn, something the work waits for."""


class Outcome(StrEnum):
    """What a promise came to; ``schedules.done`` says when each holds."""

    KEPT = "kept"
    LATER = "later"
    EXCUSED = "excused"
    SILENT = "silent"
    DROPPED = "dropped"
    AHEAD = "ahead"


COUNTED = (Outcome.KEPT, Outcome.LATER, Outcome.EXCUSED, Outcome.SILENT)
NOT_DONE = (Outcome.EXCUSED, Outcome.SILENT)


@dataclass(frozen=True, slots=True)
class Judged:
    """A promise and what it came to; ``word`` is why it was not kept, where that is on record.

    ``in_part`` if it was looked at without all that was to be answered.
    """

    planned: Planned
    outcome: Outcome
    done_on: date | None = None
    look: Look | None = None
    word: Word | None = None
    in_part: bool = False

    @property
    def on_time(self) -> bool:
        """Done before it was overdue."""
        return self.done_on is not None and self.done_on <= self.planned.overdue_after

    @property
    def was_overdue(self) -> bool:
        """Overdue on the day it was planned for already: nobody could be on time."""
        return self.planned.overdue_after < self.planned.on


def judge(planned: Planned, seen: Seen, today: date) -> Judged:
    """What came of it by ``today``, the day it is at the site."""
    first, last = planned.since_on, planned.until
    done_on = _done_on(planned, seen, first, last)
    gone = any(first <= on <= planned.on for on in seen.gone.get(planned.fan, ()))
    if gone and done_on is None and inspection.number in planned.rules:
        # its system's, whatever stands or stands still on the roof
        planned, gone = replace(planned, rules=(inspection.number,)), False
        done_on = _done_on(planned, seen, first, last)
    looks = [each for each in seen.looks.get(planned.fan, ()) if first <= each.on <= last]
    if done_on is not None:
        outcome = Outcome.KEPT if done_on <= planned.on else Outcome.LATER
        look = next((each for each in looks if each.on == done_on), None)
        return Judged(planned, outcome, done_on, look)
    if gone:
        return Judged(planned, Outcome.DROPPED)
    if planned.on >= today:
        return Judged(planned, Outcome.AHEAD)
    word = _word(planned, seen)
    outcome = Outcome.EXCUSED if word else Outcome.SILENT
    return Judged(planned, outcome, word=word, in_part=bool(looks))


def _done_on(planned: Planned, seen: Seen, first: date, last: date) -> date | None:
    """The day of these on which the last of all that was asked was done; None where some was not.

    What takes two visits is done with the second.
    """
    asked = [_days(planned, rule, seen) for rule in planned.rules] or [_seen(planned, seen)]
    done = [min((on for on in each if first <= on <= last), default=None) for each in asked]
    days = [on for on in done if on is not None]
    return max(days) if len(days) == len(done) else None


def _days(planned: Planned, rule: int, seen: Seen) -> list[date]:
    """Days on which what a rule asks for was done, in any week."""
    if rule == inspection.number:
        return [*seen.inspected.get(planned.system, ())]
    if rule == hours.number:
        return [*seen.regreased.get(planned.fan, ())]
    if rule in WHOLE_LOOK:
        return [each.on for each in seen.looks.get(planned.fan, ()) if each.whole]
    return _seen(planned, seen)


def _seen(planned: Planned, seen: Seen) -> list[date]:
    looks = (each.on for each in seen.looks.get(planned.fan, ()))
    return [*looks, *seen.worked.get(planned.fan, ())]


def _word(planned: Planned, seen: Seen) -> Word | None:
    """Who was there goes first, then whoever gave a reason, then what the record holds."""
    missed = [
        each
        for each in seen.missed.get(planned.fan, ())
        if planned.since_on <= each.on <= planned.until
    ]
    whole = [each for each in missed if not each.item]
    if told := whole or missed:
        return told[-1]
    if given := seen.given.get(planned.stop):
        return given
    if planned.called_off:
        return Word(planned.on, CALLED_OFF, planned.called_off)
    waits = seen.waits.get(planned.site, ())
    held = next((each for each in waits if _holds(each, planned)), None)
    return Word(planned.on, WAITING, held.note, held.kind) if held else None


def _holds(wait: Wait, planned: Planned) -> bool:
    about = wait.fan in (None, planned.fan)
    stands = wait.cleared_on is None or planned.on < wait.cleared_on
    return about and wait.since_on <= planned.on and stands


def judge_all(planned: Iterable[Planned], seen: Seen, today: Mapping[str, date]) -> list[Judged]:
    """Each with the day it is at its site, by time zone."""
    return [judge(each, seen, today[each.zone]) for each in planned]
