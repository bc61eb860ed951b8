"""What could not be told about a fan, and what somebody has to record so that it can."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from visits.wording import words
from visits.wording.names import Words

UNTOLD: Words = {
    "no_inspection": gettext_lazy(
        "When the next code inspection is due cannot be told: record the last one and who, "
        "qualified for it, made it."
    ),
    "no_bearing_data": gettext_lazy(
        "Whether the bearings need grease cannot be told: record whether they are sealed or "
        "greased."
    ),
    "no_speed": gettext_lazy(
        "When to grease the bearings cannot be told: record the shaft's or the motor's rpm."
    ),
    "no_bore": gettext_lazy(
        "When to grease the bearings cannot be told: record their bore, the motor's frame, or "
        "the maker's own interval."
    ),
    "no_calendar": gettext_lazy(
        "Running hours cannot be told: record when this kitchen cooks, or that it never stops."
    ),
}


def untold_sentence(code: str) -> str:
    """What is missing and what to record."""
    return words(UNTOLD, code)


def fault_sentence(fault: str) -> str:
    """A fan whose record could not be reckoned; its dates are from before."""
    return _(
        "This fan could not be reckoned ({fault}); its dates, if any, are from before. Look "
        "through its latest entries, or tell whoever runs this service."
    ).format(fault=fault)
