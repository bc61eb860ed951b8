"""What a visit found of a fan, in the owner's words: readings first, else what somebody noted."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from itertools import chain
from uuid import UUID

from fleet.quantities import VERDICT_ORDER, item_of
from schedules.wording.seen import no_belt_here
from visits.judging import judgements_of, subject_of
from visits.limits import Judgement
from visits.models import Check, Finding, Recommendation
from visits.services.beltless import in_doubt
from visits.wording import (
    fault_for_owner,
    judgement_sentence,
    no_belt_text,
    owner_sentence,
    subject_words,
)
from visits.wording.names import upper_first

WATCH = VERDICT_ORDER["watch"]


def found_by_owner(visit_id: UUID, fan_id: int, subjects: Collection[str]) -> list[str]:
    """A sentence for each of these subjects that was found at fault as the fan was found."""
    read, noted = _found(visit_id, fan_id, subjects)
    return [*faults_for_owner(read, noted), *doubts_of(noted)]


def doubts_of(rows: Iterable[Finding | Recommendation]) -> list[str]:
    """That one of them names a belt of a fan that has none by the register; else nothing."""
    return [no_belt_text()] if in_doubt(rows) else []


def faults_for_owner(read: Iterable[Judgement], noted: Iterable[Finding]) -> list[str]:
    """These faults, each said once; a colleague's own words are not quoted."""
    return [
        *dict.fromkeys(owner_sentence(each) for each in read),
        *dict.fromkeys(fault_for_owner(each.subject or each.item, each.verdict) for each in noted),
    ]


def found_by_us(visit_id: UUID, fan_id: int, subjects: Collection[str]) -> list[str]:
    """The same for people of the trade, with what their colleague wrote."""
    read, noted = _found(visit_id, fan_id, subjects)
    said = [judgement_sentence(each) for each in read]
    for each in noted:
        name = upper_first(subject_words(each.subject or each.item))
        note = " ".join(each.note.split()).rstrip(".") or each.get_severity_display()
        said.append(f"{name}: {note}.")
    doubt = [no_belt_here()] if in_doubt(noted) else []
    return [*dict.fromkeys(said), *doubt]


def _found(
    visit_id: UUID, fan_id: int, subjects: Collection[str]
) -> tuple[list[Judgement], list[Finding]]:
    """Judgements beyond *within*, the worst of each subject, and notes on what none speaks of."""
    checks = Check.objects.filter(visit=visit_id, fan=fan_id, stage="as_found")
    worst = worst_read(chain.from_iterable(judgements_of(list(checks))), subjects)
    notes = Finding.objects.filter(visit=visit_id, fan=fan_id).select_related("visit")
    return list(worst.values()), [
        note
        for note in notes
        if (name := _named(note.subject or note.item, subjects)) and name not in worst
    ]


def worst_read(judged: Iterable[Judgement], subjects: Collection[str]) -> dict[str, Judgement]:
    """By subject the worst of what was judged beyond *within*."""
    worst: dict[str, Judgement] = {}
    for each in judged:
        name = _named(subject_of(each), subjects)
        if name and VERDICT_ORDER[each.verdict] >= WATCH:
            worst[name] = max(each, worst.get(name, each), key=_badness)
    return worst


def _named(subject: str, subjects: Collection[str]) -> str:
    """The one of ``subjects`` that a reading or note is about; vibration is one, whatever point."""
    names = [subject, item_of(subject)]
    if subject.startswith("vibration"):
        names.append("vibration")
    return next((name for name in names if name in subjects), "")


def _badness(judgement: Judgement) -> int:
    return VERDICT_ORDER[judgement.verdict]
