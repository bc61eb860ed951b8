"""What somebody is told about how a visit was made, and what it still leaves open."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from visits.wording.names import Words, subject_words, words

CAUTIONS: Words = {
    "live_readings_unqualified": _(
        "This visit holds live readings by someone not recorded as qualified for energised work. "
        "Only qualified people with protection take live volts and amps; a walk-through needs "
        "none. Local codes and licensed people come first."
    ),
}


def caution_words(code: str) -> str:
    """The caution in full."""
    return words(CAUTIONS, code)


def left_out_text(entries: Iterable[str]) -> str:
    """What of the walk-through's list nobody answered, and what that means for the dates."""
    return gettext(
        "Not a complete walk-through; left open: {items}. It counts as one once a single check "
        "answers the whole list."
    ).format(items=", ".join(subject_words(entry) for entry in entries))
