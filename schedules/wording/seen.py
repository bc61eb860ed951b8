"""A rule's date together with the reading or note that stands behind it."""

from __future__ import annotations

from schedules.due.evidence import Evidence
from schedules.engine.record import RuleDate
from schedules.wording.rules import rule_sentence
from schedules.wording.vibration import AS_STORED, Measured
from visits.limits import Judgement
from visits.wording import VERDICTS, judgement_sentence, subject_words, words
from visits.wording.names import upper_first


def told_text(told: RuleDate, seen: Evidence | None) -> str:
    """A rule's date in a sentence with what was read or written down behind it."""
    return rule_sentence(told, seen_text(seen), _measured(told, seen))


def _measured(told: RuleDate, seen: Evidence | None) -> Measured:
    """How a vibration was typed; a grade felt by hand has no unit."""
    if told.rule != 5 or not isinstance(seen, Judgement) or not seen.unit:
        return AS_STORED
    return Measured(seen.unit, seen.args.get("detector") or "")


def seen_text(seen: Evidence | None) -> str:
    """What stands behind an open finding: its reading, else what somebody wrote."""
    if seen is None:
        return ""
    name = upper_first(subject_words(seen.subject or seen.item))
    if isinstance(seen, Judgement):
        sentence = judgement_sentence(seen)
        # figures alone say little away from the reading they stand beside on a page
        return f"{name}: {sentence}" if sentence[:1].isdigit() else sentence
    told = seen.note.strip().rstrip(".") or words(VERDICTS, seen.verdict)
    return f"{name}: {told}."
