"""Numbers for words in the packed history: subjects, verdicts, kinds; the order is the code."""

from __future__ import annotations

from fleet.quantities import LOOK_LISTS, QUANTITIES, VERDICT_ORDER

WITHIN, WATCH, ACT, STOP = (VERDICT_ORDER[name] for name in ("within", "watch", "act", "stop"))

LIMIT_ROWS = (
    "amps", "amps_unbalance", "belt_deflection", "breaker", "capacitor", "grease", "insulation",
    "lost_phase", "overload", "overload_present", "poles", "resistance_unbalance", "sheave_wear",
    "temperature_difference", "vibration", "volts", "volts_unbalance", "winding_unbalance",
)  # fmt: skip
"""Judgements that have a subject of their own rather than a column's name."""

SUBJECTS: tuple[str, ...] = (
    "",
    *sorted(
        {*QUANTITIES, *LIMIT_ROWS}
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
