"""What somebody is told about how a visit was made, and what it still leaves open."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from visits.wording.names import Words, subject_words, words

CAUTIONS: Words = {
    "failure_day_doubtful": _(
        "A failure's day lies after this visit or more than a year before it. One after it counts "
        "as the visit's own day. If it was typed wrong, correct the visit."
    ),
    "visit_long_ago": _(
        "This visit is dated more than five years ago. If its year was typed wrong, correct the "
        "visit; if not, its fans count as watched only from where regular visits began, one that "
        "failed then from that day."
    ),
    "failure_terms_unlisted": _(
        "A failure mode, mechanism or cause is none of those offered. It is kept as written, but "
        "no count of failures knows it; GET /api/v1/failure-terms lists what is counted."
    ),
    "part_not_on_machine": _(
        "The register says that this fan is driven directly, without a belt, and this visit tells "
        "of one. It is kept as written. Look which of the two is wrong: have the register "
        "corrected, or correct the visit."
    ),
    "no_fan_told_of": _(
        "This visit tells of no fan: nothing was checked, done or found, so no date follows from "
        "it. If that was not meant, correct it."
    ),
    "live_readings_unqualified": _(
        "This visit holds live readings by someone not recorded as qualified for energised work. "
        "Only qualified people with protection take live volts and amps; a walk-through needs "
        "none. Local codes and licensed people come first."
    ),
    "answered_advice_dropped": _(
        "The owner has answered advice that this correction leaves out: that answer counts for "
        "nothing any more. If the advice still holds, correct again and bring it under its id; "
        "if not, tell the owner."
    ),
    "left_at_stop": _(
        "A fan is left at a reading at which it must not run. Make it safe, or keep it out of use "
        "until qualified people have put it right. As-left readings set no date: what was found, "
        "not made, belongs into the check as found."
    ),
    "left_at_act": _(
        "A fan is left with something to be acted on. As-left readings set no date: what was "
        "found, not made, belongs into the check as found."
    ),
    "technician_unknown": _(
        "Nobody on record, or more than one person, goes by the technician's name; the visit keeps "
        "it as written, and nothing in it counts as done by somebody qualified. Correct the visit "
        "with a login."
    ),
    "inspector_unqualified": _(
        "The code inspection leaves its day where it was: whoever did it is not recorded as "
        "qualified for code inspections."
    ),
    "inspector_not_sender": _(
        "The code inspection leaves its day where it was: it was sent neither by the inspector "
        "named nor by somebody who plans. Have one of them send it, as a correction of this visit."
    ),
}


FIELDS: Words = {
    "began_at": _("began"), "cause": _("cause"), "failed_on": _("failed on"),
    "failure_mode": _("failure mode"), "fan": _("fan"), "item": _("item"),
    "mechanism": _("mechanism"), "reading": _("reading"), "subject": _("subject"),
    "technician": _("technician"),
}  # fmt: skip


def caution_words(code: str, sent: Iterable[tuple[str, str]] = ()) -> str:
    """The caution in full, with the fields it is about as they were ``sent``."""
    told = str(words(CAUTIONS, code))
    seen = ", ".join(f"{words(FIELDS, name)} “{value}”" for name, value in sent)
    return gettext("{caution} Sent: {seen}.").format(caution=told, seen=seen) if seen else told


def left_out_text(entries: Iterable[str]) -> str:
    """What of the walk-through's list nobody answered, and what that means for the dates."""
    return gettext(
        "Not a complete walk-through; left open: {items}. It counts as one once a single check "
        "answers the whole list."
    ).format(items=", ".join(subject_words(entry) for entry in entries))
