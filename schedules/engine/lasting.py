"""Lasting faults: known, told to the owner, and silent until a worse verdict comes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fleet.quantities import VERDICT_ORDER
from schedules.engine.codes import STOP
from schedules.engine.moments import in_time
from schedules.engine.record import FanRecord, Look

_ORDER = VERDICT_ORDER.__getitem__


class Lasting:
    """The verdict up to which each subject is known as lasting, followed through time."""

    __slots__ = ("_level",)

    def __init__(self) -> None:
        self._level: dict[str, int] = {}

    def mark(self, subject: str, verdict: int) -> None:
        """Take a fault as lasting; a stop cannot be."""
        if verdict < STOP:
            self._level[subject] = max(verdict, self._level.get(subject, 0))

    def knows(self, subject: str) -> bool:
        """True if a fault of this subject was marked lasting."""
        return subject in self._level

    def silences(self, subject: str, verdict: int) -> bool:
        """True if this sight of the subject is the lasting fault; a worse one ends the mark."""
        level = self._level.get(subject)
        if level is None:
            return False
        if verdict > level:
            del self._level[subject]
        return verdict <= level


def worst_verdicts(record: FanRecord, wanted: Sequence[Look]) -> list[int]:
    """Worst verdict of each wanted as-found look, lasting faults left out; 0 where none was given.

    ``wanted`` are looks of the record in time order.
    """
    marks = any(look.lasting for look in record.looks) or any(n.lasting for n in record.noted)
    if not marks:
        return [max(map(_ORDER, look.verdicts.values()), default=0) for look in wanted]
    worst = {id(look): order for look, order in _followed(record)}
    return [worst[id(look)] for look in wanted]


def _followed(record: FanRecord) -> Iterator[tuple[Look, int]]:
    notes = [note for note in in_time(record.noted) if note.lasting]
    lasting = Lasting()
    for look in in_time(record.looks):
        while notes and notes[0].day <= look.day:
            note = notes.pop(0)
            lasting.mark(note.subject or note.item, VERDICT_ORDER[note.verdict])
        for subject in look.lasting:
            lasting.mark(subject, VERDICT_ORDER[look.verdicts.get(subject, "cannot_judge")])
        if look.stage == "as_found":
            yield look, _worst(look, lasting)


def _worst(look: Look, lasting: Lasting) -> int:
    orders = ((subject, VERDICT_ORDER[verdict]) for subject, verdict in look.verdicts.items())
    return max((v for subject, v in orders if not lasting.silences(subject, v)), default=0)
