"""What a walk-through found, lasting faults left out: they do not spoil its condition."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fleet.quantities import VERDICT_ORDER
from schedules.engine.codes import STOP
from schedules.engine.findings import Findings, follow
from schedules.engine.record import FanRecord, Look

_ORDER = VERDICT_ORDER.__getitem__


def worst_verdicts(record: FanRecord, wanted: Sequence[Look]) -> list[int]:
    """Worst verdict of each wanted look of the record; 0 where there is none."""
    if not (any(look.lasting for look in record.looks) or any(n.lasting for n in record.noted)):
        return [max(map(_ORDER, look.verdicts.values()), default=0) for look in wanted]
    lasting = dict(_lasting_after(record))
    return [_worst(record, look, lasting[id(look)]) for look in wanted]


def _lasting_after(record: FanRecord) -> Iterator[tuple[int, frozenset[str]]]:
    """Subjects lastingly at fault once each look was taken, by the look's identity."""
    findings = Findings()
    for fact in follow(record, findings):
        if isinstance(fact, Look):
            yield id(fact), findings.lasting


def _worst(record: FanRecord, look: Look, lasting: frozenset[str]) -> int:
    noted = {
        note.subject or note.item: VERDICT_ORDER[note.verdict]
        for note in record.noted
        if note.lasting and note.day == look.day and note.verdict != "stop"
    }
    orders = ((subject, VERDICT_ORDER[verdict]) for subject, verdict in look.verdicts.items())
    counted = (
        order
        for subject, order in orders
        if order >= STOP or (subject not in lasting and order > noted.get(subject, 0))
    )
    return max(counted, default=0)
