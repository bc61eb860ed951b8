"""What somebody is told about how a visit was made; local codes and licensed people come first."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from visits.wording.names import Words, words

CAUTIONS: Words = {
    "live_readings_unqualified": _(
        "This visit holds live readings by someone not recorded as qualified for energised work. "
        "Only qualified people with protection take live volts and amps; a walk-through needs none."
    ),
}


def caution_words(code: str) -> str:
    """The caution in full."""
    return words(CAUTIONS, code)
