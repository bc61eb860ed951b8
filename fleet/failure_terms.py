"""Words for failures that the record offers: modes and mechanisms after ISO 14224, and causes.

What people write beside them is kept as written: the list is there to be counted by, not to refuse.
Codes of modes and the first of the mechanisms are those of ISO 14224 (one source, several from
memory); *loosening*, *seizure* and *impact*, and all causes, are our own names for what the trade
says (common practice).
"""

from __future__ import annotations

from types import MappingProxyType

FAILURE_MODES = (
    "AIR", "BRD", "ELP", "ELU", "ERO", "FRO", "FTF", "FTS", "HIO", "LOO", "NOI", "NOO", "OHE",
    "OTH", "PDE", "PLU", "SER", "SPO", "STD", "STP", "UNK", "UST", "VIB",
)  # fmt: skip

MECHANISMS = (
    "leakage", "vibration", "misalignment", "deformation", "looseness", "sticking", "cavitation",
    "corrosion", "erosion", "wear", "breakage", "fatigue", "overheating", "burst",
    "faulty_signal", "out_of_adjustment", "short_circuit", "open_circuit", "no_power",
    "faulty_power", "earth_fault", "blockage", "contamination", "loosening", "seizure", "impact",
    "unknown",
)  # fmt: skip

CAUSE_GROUPS = MappingProxyType({
    "electrical": (
        "loose_connection", "winding_to_ground", "lost_phase", "speed_control_heat",
        "overload_too_high", "set_too_low", "shaft_currents", "weak_capacitor",
    ),
    "mechanical": (
        "vibration", "mechanical_load", "belt_too_tight", "belt_too_slack", "misaligned_sheaves",
        "worn_sheaves", "resonance", "loose_setscrew", "loose_mounting",
    ),
    "grease": ("grease_on_wheel", "vents_plugged", "grease_coating", "no_grease", "over_greased"),
    "corrosion": ("corrosion", "water_entry", "wash_water"),
    "handling": (
        "rough_handling", "left_off", "reversed_rotation", "not_retensioned", "changed_in_kitchen",
    ),
    "supply": ("low_voltage", "high_voltage", "voltage_unbalance", "surge"),
    "age": ("wear",),
})  # fmt: skip
"""Causes by where they come from."""

CAUSES = tuple(cause for group in CAUSE_GROUPS.values() for cause in group)

BELT_CAUSES = frozenset({
    "belt_too_tight", "belt_too_slack", "misaligned_sheaves", "worn_sheaves", "not_retensioned",
})  # fmt: skip
"""Causes that only a belt drive has, whatever item they are told of."""

SEEN_COMING = frozenset({
    "vibration", "misalignment", "deformation", "looseness", "loosening", "leakage", "corrosion",
    "erosion", "wear", "fatigue", "blockage", "contamination", "out_of_adjustment",
    *CAUSE_GROUPS["mechanical"], *CAUSE_GROUPS["grease"], *CAUSE_GROUPS["corrosion"],
})  # fmt: skip
"""Mechanisms and causes that grow over weeks where a walk-through looks (common practice, no
source)."""

OTHER_CAUSE = "other"
"""What somebody writes who knows the cause and finds it on no list: it counts against the list."""

LISTED = MappingProxyType({
    "failure_mode": frozenset(FAILURE_MODES),
    "mechanism": frozenset(MECHANISMS),
    "cause": frozenset({*CAUSES, OTHER_CAUSE}),
})  # fmt: skip


def term_of(text: str) -> str:
    """A mechanism or cause as listed: ``Loose connection`` is ``loose_connection``."""
    return "_".join(text.strip().lower().replace("-", " ").replace("_", " ").split())


UNKNOWN = frozenset({"", "unknown", "not_known", "not_determined", "none"})
"""Terms that name no mechanism or cause."""


def is_known(text: str) -> bool:
    """Whether a mechanism or cause written down names one; *unknown* in words is none."""
    return term_of(text) not in UNKNOWN


def is_listed(field: str, text: str) -> bool:
    """Whether a text of a finding's ``field`` is one of the terms offered; empty is *not known*."""
    term = text.strip().upper() if field == "failure_mode" else term_of(text)
    return not term or term in LISTED[field]
