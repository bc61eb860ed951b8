"""The names a record may use: readings with and without their unit, items, subjects."""

from __future__ import annotations

from fleet.quantities import GREASE_PLACES, LOOK_LISTS, MEASURED, QUANTITIES, SEEN, Quantity

_SUFFIXES = {
    "V": "_v", "A": "_a", "ohm": "_ohm", "megohm": "_megohm", "C": "_c", "uF": "_uf",
    "mm/s": "_mm_s", "um": "_um", "K": "_k", "mm": "_mm", "h": "_h", "rpm": "_rpm", "Hz": "_hz",
}  # fmt: skip


def short_name(quantity: Quantity) -> str:
    """A reading's name without its unit: ``volts_ab`` of ``volts_ab_v``."""
    return quantity.name.removesuffix(_SUFFIXES[quantity.unit])


READINGS: dict[str, Quantity] = {q.name: q for q in MEASURED} | {short_name(q): q for q in MEASURED}
SEEN_ITEMS: dict[str, Quantity] = {q.name: q for q in SEEN}
GREASE: dict[str, str] = {f"grease_{place}": place for place in GREASE_PLACES}

ITEMS: frozenset[str] = frozenset({q.item for q in QUANTITIES.values()}) | {
    "machine", "hour_meter", "curb", "conduit", "shaft",
}  # fmt: skip

ALSO_CALLED = dict.fromkeys(("disconnect", "disconnect_switch", "disconnecting_switch"), "switch")
"""What people call an item besides; two names on record would leave a finding open that is mended.
"""

JUDGED_TOGETHER: frozenset[str] = frozenset({
    "volts", "volts_unbalance", "lost_phase", "amps", "amps_unbalance", "overload", "breaker",
    "winding_unbalance", "insulation", "poles", "capacitor", "vibration", "temperature_difference",
    "belt_deflection", "sheave_wear", *GREASE,
})  # fmt: skip
"""Subjects that are judged from several readings or under a name of their own."""

SUBJECTS: frozenset[str] = (
    frozenset(SEEN_ITEMS)
    | JUDGED_TOGETHER
    | {entry for entries in LOOK_LISTS.values() for entry in entries}
)
"""What a verdict, a finding, advice or an answer may be about."""
