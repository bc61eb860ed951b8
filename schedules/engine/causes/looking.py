"""Ways of asking what the record shows of a part before it failed, as it was at the failure.

Each gives true, false where it was looked for in vain, and None where nobody looked, or looked
before the part or the machine was another one.  Windows are our choice.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from fleet.quantities import item_of
from schedules.engine.causes.record import Happening, Past, Seen

LOOK_WINDOW_DAYS = 400
FAULTY = frozenset({"act", "stop"})
NOTICED = frozenset({"watch", "act", "stop"})
SHAKING = ("vibration", "vibration_felt")
RESTORING = frozenset({"replaced", "repaired", "cleaned", "adjusted", "balanced"})

Answer = bool | None
Find = Callable[[Past], Answer]


def _first_day(past: Past, subject: str) -> int:
    """From when on looks at a subject are of the part that was in place at the failure."""
    item = item_of(subject)
    renewed = past.renewed_day(item)
    earliest = past.failed_day - LOOK_WINDOW_DAYS
    return earliest if renewed is None else max(earliest, renewed)


def looks_at(past: Past, subject: str, first: int | None = None) -> Iterator[Seen]:
    """Looks that judged the subject while it was what it was, newest first."""
    since = _first_day(past, subject) if first is None else first
    for look in reversed(past.looks):
        if since <= look.day <= past.found_day and (
            subject in look.verdicts or subject in look.states
        ):
            yield look


def newest_of(past: Past, *subjects: str) -> tuple[Seen, str] | None:
    """The newest look at any of the subjects; none where work has been done on it since."""
    found = [(look, name) for name in subjects for look in looks_at(past, name)]
    if not found:
        return None
    look, name = max(found, key=lambda each: each[0].day)
    if any(_restores(past, name, kind, item, day, look.day) for kind, item, day in _works(past)):
        return None
    return look, name


def _works(past: Past) -> Iterator[tuple[str, str, int]]:
    return ((work.kind, work.item, work.day) for work in past.works)


def _restores(past: Past, subject: str, kind: str, item: str, day: int, seen: int) -> bool:
    """Whether work between the look and the failure made the look's word worthless."""
    return (
        seen <= day < past.failed_day
        and kind in RESTORING
        and item in (subject, item_of(subject), "machine")
    )


def judged(verdicts: frozenset[str], *subjects: str) -> Find:
    """The newest verdict of each subject is one of these; any one of them will do."""

    def find(past: Past) -> Answer:
        answers = []
        for subject in subjects:
            latest = newest_of(past, subject)
            verdict = latest[0].verdicts.get(subject, "cannot_judge") if latest else "cannot_judge"
            if verdict != "cannot_judge":
                answers.append(verdict in verdicts)
        return any(answers) if answers else None

    return find


def state(subject: str, *codes: str) -> Find:
    """The newest state of a seen item is one of these."""

    def find(past: Past) -> Answer:
        latest = newest_of(past, subject)
        seen = latest[0].states.get(subject) if latest else None
        return None if seen is None else seen in codes

    return find


def earlier_state(subject: str, *codes: str) -> Find:
    """The same; of the part that failed only before it did: its failure is no evidence of why."""
    find = state(subject, *codes)

    def earlier(past: Past) -> Answer:
        if past.item == item_of(subject):
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
    """At any look since machine and part were what they were: once is enough to have harmed."""

    def find(past: Past) -> Answer:
        first = max(_first_day(past, "vibration"), _first_day(past, past.item))
        seen = {
            look.verdicts[name]
            for name in SHAKING
            for look in looks_at(past, name, first)
            if look.verdicts.get(name, "cannot_judge") != "cannot_judge"
        }
        return bool(seen & verdicts) if seen else None

    return find


def began_after(kinds: frozenset[str], days: int) -> Find:
    """Shakes at a look after such work, and did not at the one before; none without the work."""

    def find(past: Past) -> Answer:
        done = [
            work.day for work in past.works
            if work.kind in kinds and past.failed_day - days <= work.day <= past.found_day
        ]  # fmt: skip
        if not done:
            return None
        later = [look for name in SHAKING for look in looks_at(past, name, max(done))]
        worst = {look.verdicts.get(name) for look in later for name in SHAKING}
        return bool(worst & NOTICED) if later else True

    return find


def lately(past: Past, kind: str, days: int) -> list[Happening]:
    """Events of a kind within so many days before the failure, or on its day."""
    first = past.failed_day - days
    return [
        each for each in past.events if each.kind == kind and first <= each.day <= past.failed_day
    ]


def event(kind: str, days: int) -> Find:
    """Such an event shortly before; one that nobody told of is not known."""
    return lambda past: True if lately(past, kind, days) else None
