"""What simulated readings are called on record, and what the real limits say of them."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from math import isnan, nan

from fleet.plates import Feed, Plate
from fleet.quantities import LOOK_LISTS
from schedules.engine.record import Grease, Vibration
from visits.judging import verdicts
from visits.limits import DEFAULT_LIMITS, Context, Reading, judge

# States by grade 0 to 3. A direct drive has no bearings to look at: theirs are heard.
STATES: Mapping[str, tuple[str, ...]] = {
    "vibration_felt": ("none", "slight", "strong", "violent"),
    "bearings": ("quiet", "noisy", "hot", "rough"),
    "noise": ("usual", "new", "grinding", "grinding"),
    "belt": ("sound", "worn", "cracked", "cracked"),
    "cable": ("sound", "stretched", "damaged", "bare"),
    "corrosion": ("none", "surface", "deep", "holed"),
}
# What this world never finds at fault is answered and within.
SOUND = {
    "running": "runs", "catch": "engaged", "guard": "on", "curb": "tight", "switch_cover": "tight",
    "rotation": "right", "wheel_gap": "even",
}  # fmt: skip
DUSTY, PLUGGED = 0.3, 0.6
FULL, OVERFLOWING = 0.8, 1.0
DIRTY_UM = 1500.0
POINT = "motor_radial"
VOLTS = 208.0
FANS_PLATE = Plate(motor_type="three_phase", phases=3, volts="208", power_hp=1.0, mounting="rigid")
SINGLE = Plate(motor_type="psc", phases=1, volts="208", power_hp=1.0, mounting="rigid")
BV2 = DEFAULT_LIMITS.vibration[
    DEFAULT_LIMITS.vibration_category(1.0), "rigid", "mm/s", "rms"
]  # all fans here have 5 hp or less
ALL_LISTS = frozenset(
    item for name in ("hood_cleaning", "new_belt", "storm") for item in LOOK_LISTS[name]
)
ANSWERED = {
    belt: ALL_LISTS | set(LOOK_LISTS["walk_through_belt" if belt else "walk_through_direct"])
    for belt in (False, True)
}


@lru_cache(maxsize=4096)
def verdict_of(slight_before: bool, single: bool, *readings: tuple[str, float | str]) -> str:
    """The worst verdict on these readings by the real limits, on a fan of up to 5 hp at 208 V."""
    judged = judge(
        {name: Reading(value) for name, value in readings},
        plate=SINGLE if single else FANS_PLATE,
        feed=Feed(),
        context=Context(
            vibration_detector="rms", vibration_meter="overall", slight_before=slight_before
        ),
    )
    worst = verdicts(judged)
    order = ("cannot_judge", "within", "watch", "act", "stop")
    return max(worst.values(), key=order.index)


def seen_verdict(item: str, state: str, *, slight_before: bool = False) -> str:
    """The verdict on a seen item."""
    return verdict_of(slight_before, False, (item, state))


def supply_verdict(percent: float, *, three_phase: bool) -> tuple[str, str]:
    """Subject and verdict of volts that are `percent` unbalanced, or low on one phase."""
    share = round(percent, 1) / 100
    if not three_phase:
        return "volts", verdict_of(False, True, ("volts_ab_v", VOLTS * (1 - share)))
    lines = (("volts_ab_v", VOLTS), ("volts_bc_v", VOLTS), ("volts_ca_v", low_line(share)))
    return "volts_unbalance", verdict_of(False, False, *lines)


def low_line(share: float) -> float:
    """Volts of the one low line that make this unbalance, a share, by NEMA MG-1's percentage.

    With the line low by d the mean is V (1 - d/3) and the largest deviation 2 V d/3.
    """
    return VOLTS * (1 - 3 * share / (2 + share))


def vibration(value_mm_s: float) -> Vibration:
    """One reading with the limits it is held against."""
    value = round(value_mm_s, 1)
    verdict = verdict_of(False, False, (f"vibration_{POINT}_mm_s", value))
    return Vibration(
        POINT, "rms", "overall", value, verdict, BV2.start, BV2.alarm,
        value / BV2.start, value / BV2.alarm,
    )  # fmt: skip


def grease(depth_um: float) -> Grease:
    """The comb's figure for the fan's housing."""
    return Grease("housing", depth_um, depth_um, DEFAULT_LIMITS.grease_limit("housing", "um"))


def states(seen: Mapping[str, float], *, belt: bool, hinged: bool) -> dict[str, str]:
    """What was seen, by item; what nobody looked at is left out."""
    found = dict(SOUND)
    graded = {
        "vibration_felt": seen["felt"], "noise": nan if belt else seen["bearing"],
        "bearings": seen["bearing"] if belt else nan, "belt": seen["belt"],
        "cable": seen["cable"], "corrosion": seen["corrosion"],
    }  # fmt: skip
    found |= {k: STATES[k][int(grade)] for k, grade in graded.items() if not isnan(grade)}
    shares = {
        "motor_vents": (seen["vents"], DUSTY, PLUGGED, ("clear", "dusty", "plugged")),
        "grease_box": (seen["box"], FULL, OVERFLOWING, ("fine", "full", "overflowing")),
        "wheel": (seen["grease_um"], DIRTY_UM, nan, ("clean", "dirty", "dirty")),
    }
    for item, (value, some, much, names) in shares.items():
        if not isnan(value):
            found[item] = names[(value >= some) + (value >= much)]
    if not isnan(seen["hinge"]):
        found["hinge"] = "sound" if seen["hinge"] else "loose" if hinged else "none"
    return found | ({"noise": "usual", "sheaves": "sound"} if belt else {})
