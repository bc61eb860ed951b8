"""One verdict with all its reasons, the codes it can carry, and the worst of several."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

from fleet.quantities import SEEN, VERDICT_ORDER, Verdict
from visits.limits.basis import Basis

NO_ARGUMENTS: Mapping[str, Any] = {}


class Judgement(NamedTuple):
    """What one thing looked at means.

    ``subject`` is the thing judged: a row of the rules (``volts``, ``lost_phase``) or a seen item;
    every point measured has its own judgement on ``vibration``, every place on ``grease``.
    ``item`` is the maintainable item, ``quantity`` the registry's name of the reading that decided.
    ``value`` and ``limit`` are in ``unit``, which is as typed where limits are kept by unit;
    ``limit`` is the boundary crossed, or for *within* the next one.  ``args`` are what the sentence
    for ``code`` needs (see ``CODES``).  ``qualifier`` is the value's own: a meter that ended at its
    range, or began above, showed only that much.
    """

    subject: str
    code: str
    verdict: Verdict
    item: str
    quantity: str
    basis: Basis
    value: float | str | None = None
    unit: str = ""
    limit: float | None = None
    args: Mapping[str, Any] = NO_ARGUMENTS
    qualifier: str = ""


MISSING = "missing"
NOT_ASKED = "not_asked"
QUALIFIED = "qualified"
UNUSABLE = "unusable"
PLATE_UNUSABLE = "plate_unusable"

_VOLTS = ("volts", "low", "high", "suggested")
_AMPS = ("legs", "full_load_a", "service_factor", "share", "suggested", "volts_known")
_SPREAD = ("values", "mean")
_VIBRATION = ("start", "alarm", "stop", "detector", "category", "mounting")
_INSULATION = ("thermoplastic_megohm", "thermosetting_megohm", "temperature_c", "guidance")
_POLES = ("poles", "lowest")
_BELT = ("expected", "span", "ratio")

MEASURED_CODES: dict[str, tuple[str, ...]] = {
    # For any subject: why there is no verdict.
    MISSING: ("missing", "unreadable"),
    NOT_ASKED: ("because", "seen"),
    QUALIFIED: ("qualifier",),
    UNUSABLE: ("error",),
    PLATE_UNUSABLE: ("error",),
    "volts.within": _VOLTS,
    "volts.low": _VOLTS,
    "volts.high": _VOLTS,
    # The rating lies above the building's service, as 230 V on 208 V.
    "volts.within_on_lower_service": (*_VOLTS, "service_volts"),
    "volts.low_on_lower_service": (*_VOLTS, "service_volts"),
    "volts.only_suggested": ("volts", "suggested_v"),
    "volts_unbalance.within": (*_SPREAD, "derating", "extra_heat_percent"),
    "volts_unbalance.some": (*_SPREAD, "derating", "extra_heat_percent"),
    "volts_unbalance.high": (*_SPREAD, "derating", "extra_heat_percent"),
    "volts_unbalance.beyond_running": (*_SPREAD, "derating", "extra_heat_percent"),
    "lost_phase.none": ("legs",),
    "lost_phase.lost": ("legs", "leg"),
    "amps.within": _AMPS,
    "amps.low": _AMPS,
    "amps.in_service_factor": _AMPS,
    "amps.above_full_load": _AMPS,
    "amps.far_above_full_load": _AMPS,
    "amps.at_drive_input": (),
    "amps_unbalance.within": _SPREAD,
    "amps_unbalance.some": _SPREAD,
    "amps_unbalance.high": _SPREAD,
    "overload.within": ("full_load_a", "hard_start_a", "suggested"),
    "overload.above": ("full_load_a", "hard_start_a", "suggested"),
    "overload_present.present": (),
    "overload_present.none": (),
    "overload_present.none_bypassed": (),
    "breaker.within": ("table_a", "suggested"),
    "breaker.above": ("table_a", "suggested"),
    "breaker.not_in_table": ("power_hp", "volts", "phases"),
    "winding_unbalance.within": _SPREAD,
    "winding_unbalance.some": _SPREAD,
    "winding_unbalance.high": _SPREAD,
    "winding_unbalance.open": (),
    "winding_unbalance.through_electronics": ("control",),
    "winding_unbalance.not_comparable": (),
    "insulation.good": _INSULATION,
    "insulation.fair": _INSULATION,
    "insulation.low": _INSULATION,
    "insulation.very_low": _INSULATION,
    "poles.alike": _POLES,
    "poles.high": _POLES,
    "poles.open": _POLES,
    "poles.not_above": _POLES,
    "poles.above": _POLES,
    "poles.nothing_to_compare": (),
    "capacitor.within": ("plate_uf", "percent"),
    "capacitor.weak": ("plate_uf", "percent"),
    "capacitor.low": ("plate_uf", "percent"),
    "capacitor.high": ("plate_uf", "percent"),
    "capacitor.open": (),
    "vibration.within": _VIBRATION,
    "vibration.above_start": _VIBRATION,
    "vibration.alarm": _VIBRATION,
    "vibration.shutdown": _VIBRATION,
    "vibration.no_column": ("detector", "unit"),
    "grease.within": ("place", "limit_um"),
    "grease.near": ("place", "limit_um"),
    "grease.at_limit": ("place", "limit_um"),
    "temperature_difference.alike": (),
    "temperature_difference.possible": (),
    "temperature_difference.probable": (),
    "temperature_difference.major": (),
    "belt_deflection.within": _BELT,
    "belt_deflection.slack": _BELT,
    "belt_deflection.very_slack": _BELT,
    "belt_deflection.tight": _BELT,
    "sheave_wear.within": (),
    "sheave_wear.worn": (),
}
"""Codes of measured things, each with the names in ``Judgement.args`` its sentence may use."""

SEEN_CODES: tuple[str, ...] = (
    *(
        f"{quantity.name}.{state.code}"
        for quantity in SEEN
        for state in quantity.states
        if state.verdict is not None and quantity.name != "overload_present"
    ),
    "vibration_felt.slight_as_before",
)

CODES: dict[str, tuple[str, ...]] = MEASURED_CODES | dict.fromkeys(SEEN_CODES, ())
"""Every code a judgement can carry; ``visits.wording`` has a sentence for each."""


def worst(judgements: Iterable[Judgement]) -> dict[str, Judgement]:
    """The worst judgement of each maintainable item, the first of equals.

    *cannot judge* ranks below *within*: it never hides a verdict.
    """
    return _worst_by(judgements, "item")


def by_subject(judgements: Iterable[Judgement]) -> dict[str, Judgement]:
    """The worst judgement of each subject, the first of equals."""
    return _worst_by(judgements, "subject")


def _worst_by(judgements: Iterable[Judgement], key: str) -> dict[str, Judgement]:
    found: dict[str, Judgement] = {}
    for judgement in judgements:
        name = getattr(judgement, key)
        known = found.get(name)
        if known is None or VERDICT_ORDER[judgement.verdict] > VERDICT_ORDER[known.verdict]:
            found[name] = judgement
    return found
