"""Numbers for words in the packed history: subjects, verdicts, kinds; the order is the code."""

from __future__ import annotations

from fleet.quantities import LIMIT_SUBJECTS, LOOK_LISTS, QUANTITIES, VERDICT_ORDER

WITHIN, WATCH, ACT, STOP = (VERDICT_ORDER[name] for name in ("within", "watch", "act", "stop"))

SUBJECTS: tuple[str, ...] = (
    "",
    *sorted(
        {*QUANTITIES, *LIMIT_SUBJECTS}
        | {quantity.item for quantity in QUANTITIES.values()}
        | {subject for subjects in LOOK_LISTS.values() for subject in subjects}
    ),
)
"""By name, so that equal days fall to the first name; 0 is a subject nobody registered."""

_SUBJECT_CODE = {name: code for code, name in enumerate(SUBJECTS)}

RELIABILITIES = ("low", "medium", "high")
CONDITIONS = ("poor", "average", "good")
COOKING = ("", "solid_fuel", "high", "moderate", "low", "unknown")
"""Cooking classes, strictest first; 0 is an empty place."""


def subject_code(subject: str) -> int:
    """Code of a subject; 0 if nobody registered it, which dates it all the same."""
    return _SUBJECT_CODE.get(subject, 0)


OF_MACHINE = frozenset(
    {"machine", "motor", "capacitor", "wheel", "shaft", "housing", "belt", "sheaves", "bearings"}
)
"""Items that go when the machine goes; a failure of another (the switch) may outlive it."""
