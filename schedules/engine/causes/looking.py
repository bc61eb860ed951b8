"""Ways of asking what the record shows of a part before it failed, as it was at the failure.

Each gives true, false where it was looked for in vain, and None where nobody looked, or looked
before the part or the machine was another one.  Windows are our choice.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from dataclasses import replace

from fleet.quantities import item_of
from schedules.engine.causes.record import Happening, Past, Seen

LOOK_WINDOW_DAYS = 400
FAULTY = frozenset({"act", "stop"})
NOTICED = frozenset({"watch", "act", "stop"})
SHAKING = ("vibration", "vibration_felt")
TURNING = ("bearings", "shaft", "wheel")
"""What failed of these shakes and grinds itself: that is how it failed, not why."""
RESTORING = frozenset({"replaced", "repaired", "cleaned", "adjusted", "balanced"})

Answer = bool | None
Find = Callable[[Past], Answer]


def _first_day(past: Past, subject: str) -> int:
    """From when on looks at a subject are of the part that was in place at the failure.

    What was found on the day a part was renewed is still the old one.
    """
    renewed = past.renewed_day(item_of(subject))
    earliest = past.failed_day - LOOK_WINDOW_DAYS
    return earliest if renewed is None else max(earliest, renewed + 1)


def looks_at(past: Past, subject: str, first: int | None = None) -> Iterator[Seen]:
    """Looks that judged the subject while it was what it was, newest first."""
    since = _first_day(past, subject) if first is None else first
    for look in reversed(past.looks):
        told = subject in look.verdicts or subject in look.states
        if told and since <= look.day <= past.found_day:
            yield look


def newest_of(past: Past, subject: str) -> Seen | None:
    """The newest look at a subject; none where work was done on it between look and failure."""
    look = next(looks_at(past, subject), None)
    items = (subject, item_of(subject), "machine")
    if look is None or any(
        look.day <= work.day < past.failed_day and work.kind in RESTORING and work.item in items
        for work in past.works
    ):
        return None
    return look


def judged(verdicts: frozenset[str], *subjects: str) -> Find:
    """The newest verdict of each subject is one of these; any one of them will do."""

    def find(past: Past) -> Answer:
        answers = []
        for subject in subjects:
            latest = newest_of(past, subject)
            verdict = latest.verdicts.get(subject, "cannot_judge") if latest else "cannot_judge"
            if verdict != "cannot_judge":
                answers.append(verdict in verdicts)
        return any(answers) if answers else None

    return find


def state(subject: str, *codes: str) -> Find:
    """The newest state of a seen item is one of these."""

    def find(past: Past) -> Answer:
        latest = newest_of(past, subject)
        seen = latest.states.get(subject) if latest else None
        return None if seen is None else seen in codes

    return find


def earlier_state(subject: str, *codes: str) -> Find:
    """The same; of the part that failed only before it did."""
    return before_failing((item_of(subject),), state(subject, *codes))


def before_failing(items: Collection[str], find: Find) -> Find:
    """Of these items only before they failed: their failure is no evidence of why."""

    def earlier(past: Past) -> Answer:
        if past.item in items:
            looks = tuple(look for look in past.looks if look.day < past.failed_day)
            return find(replace(past, looks=looks))
        return find(past)

    return earlier


def any_of(*finds: Find) -> Find:
    """One of them is there; not there only where all that is known says so."""

    def find(past: Past) -> Answer:
        answers = [answer for each in finds if (answer := each(past)) is not None]
        return any(answers) if answers else None

    return find


def shook(verdicts: frozenset[str]) -> Find:
    """At any look since machine and part were what they were: once is enough to have harmed.

    What turns and failed shakes the fan itself: of it only looks before count.  Of one left
    shaking nobody says that it ran still: the work may have done it, or been for nothing.
    """

    def find(past: Past) -> Answer:
        first = max(_first_day(past, "vibration"), _first_day(past, past.item))
        end = past.failed_day if past.item in TURNING else past.found_day + 1
        seen = {
            look.verdicts[name]
            for name in SHAKING
            for look in looks_at(past, name, first)
            if look.day < end and look.verdicts.get(name, "cannot_judge") != "cannot_judge"
        }
        if seen & verdicts:
            return True
        return None if past.left_shaking or not seen else False

    return find


def began_after(kinds: frozenset[str], days: int) -> Find:
    """Shakes since such work, and did not at the look before it; None without the work."""

    def find(past: Past) -> Answer:
        first = max(past.failed_day - days, past.renewed_day("wheel") or 0)
        done = [w.day for w in past.works if w.kind in kinds and first <= w.day < past.failed_day]
        if not done:
            return None
        looks = [
            (look, look.verdicts.get(name)) for name in SHAKING for look in looks_at(past, name)
        ]
        later = [verdict for look, verdict in looks if look.day > max(done)]
        before = [verdict for look, verdict in looks if look.day <= max(done)]
        return not NOTICED.intersection(before) and (not later or bool(NOTICED.intersection(later)))

    return find


def lately(past: Past, kind: str, days: int) -> list[Happening]:
    """Events of a kind within so many days before the failure that the part that failed lived."""
    first = max(past.failed_day - days, past.renewed_day(past.item) or 0)
    return [
        each for each in past.events if each.kind == kind and first <= each.day <= past.failed_day
    ]


def event(kind: str, days: int) -> Find:
    """Such an event shortly before; one that nobody told of is not known."""
    return lambda past: True if lately(past, kind, days) else None
