"""A rule's date together with the reading or note that stands behind it."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from schedules.due.evidence import Evidence, Note
from schedules.due.grounds import LeftOut, Monthly
from schedules.engine.record import RuleDate
from schedules.wording.days import day_text
from schedules.wording.rules import rule_sentence
from schedules.wording.vibration import AS_STORED, Measured
from visits.limits import Judgement
from visits.wording import VERDICTS, judgement_sentence, number_text, subject_words, words
from visits.wording.names import Words, upper_first

MONTHLY_FOR: Words = {
    "belt": gettext_lazy("belt drive"),
    "coastal": gettext_lazy("salt air"),
    "corrosive": gettext_lazy("corrosive air"),
}


def told_text(told: RuleDate, seen: Evidence | None) -> str:
    """A rule's date in a sentence with what was read or written down behind it."""
    if isinstance(seen, Monthly):
        return f"{rule_sentence(told)} {_monthly_text(told, seen)}"
    if isinstance(seen, LeftOut):
        return f"{rule_sentence(told)} {_left_out_text(seen)}"
    text = rule_sentence(told, seen_text(seen), _measured(told, seen))
    return f"{text} {no_belt_here()}" if isinstance(seen, Note) and seen.no_belt else text


def no_belt_here() -> str:
    """That a belt was told of a fan that has none by the register, for people of the trade."""
    return _("The register says that this fan has no belt: look which of the two is wrong.")


def _monthly_text(told: RuleDate, seen: Monthly) -> str:
    months = told.args["base_months"]
    text = ngettext(
        "The base here is {months} month: {reasons}.",
        "The base here is {months} months: {reasons}.",
        round(months),
    )  # fmt: skip
    reasons = ", ".join(words(MONTHLY_FOR, each) for each in seen.reasons)
    return text.format(months=number_text(months), reasons=reasons)


def _left_out_text(seen: LeftOut) -> str:
    return _(
        "The look of {day} left out: {items}. It takes one look at all that such an event asks."
    ).format(day=day_text(seen.on), items=", ".join(subject_words(entry) for entry in seen.entries))


def _measured(told: RuleDate, seen: Evidence | None) -> Measured:
    """How a vibration was typed; a grade felt by hand has no unit."""
    if told.rule != 5 or not isinstance(seen, Judgement) or not seen.unit:
        return AS_STORED
    return Measured(seen.unit, seen.args.get("detector") or "")


def seen_text(seen: Evidence | None) -> str:
    """What stands behind an open finding: its reading, else what somebody wrote."""
    if seen is None or isinstance(seen, Monthly | LeftOut):
        return ""
    name = upper_first(subject_words(seen.subject or seen.item))
    if isinstance(seen, Judgement):
        sentence = judgement_sentence(seen)
        # figures alone say little away from the reading they stand beside on a page
        return f"{name}: {sentence}" if sentence[:1].isdigit() else sentence
    told = seen.note.strip().rstrip(".") or words(VERDICTS, seen.verdict)
    return f"{name}: {told}."
