"""The one registry of everything a check can record: name, unit, range, who it applies to.

Columns, constraints, importer, API, phone form, charts and packed history are driven by these
entries.  Adding a reading is one entry here, a limit rule named in ``visits.limits`` and a
migration.  Names are codes: words for people live in each app's ``wording`` module.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

Verdict = Literal["within", "watch", "act", "stop", "cannot_judge"]
Stage = Literal["as_found", "as_left"]

VERDICT_ORDER: dict[str, int] = {"cannot_judge": 0, "within": 1, "watch": 2, "act": 3, "stop": 4}

THREE_PHASE = "three_phase"
SPLIT_CAPACITOR = "psc"
ELECTRONIC = "ec"
OTHER_MOTOR = "other"
MOTOR_TYPES = (THREE_PHASE, SPLIT_CAPACITOR, ELECTRONIC, OTHER_MOTOR)
SPEED_CONTROLS = ("none", "triac", "drive", "drive_bypassed")
QUALIFIERS = ("", "<", ">", "over", "unstable")


@dataclass(frozen=True)
class State:
    """One thing a person can say of a seen item; ``verdict`` None says nothing either way."""

    code: str
    verdict: Verdict | None
    recheck_days: int | None = None


@dataclass(frozen=True)
class Quantity:
    """One reading of a check.

    ``low`` and ``high`` bound what is plausible in the canonical ``unit``; outside them a person is
    asked once and a file is refused.  ``states`` is empty for measured quantities.
    """

    name: str
    item: str
    unit: str = ""
    accepted: tuple[str, ...] = ()
    low: float = 0.0
    high: float = 0.0
    states: tuple[State, ...] = ()
    rule: str = ""
    motors: tuple[str, ...] = MOTOR_TYPES
    controls: tuple[str, ...] = SPEED_CONTROLS
    qualifiers: tuple[str, ...] = ("",)
    live: bool = False
    belt_only: bool = False
    context: tuple[str, ...] = ()

    @property
    def is_seen(self) -> bool:
        return bool(self.states)

    @property
    def state_codes(self) -> tuple[str, ...]:
        return tuple(state.code for state in self.states)

    def state(self, code: str) -> State:
        """The state called ``code``; KeyError if this item has no such state."""
        for state in self.states:
            if state.code == code:
                return state
        known = ", ".join(self.state_codes)
        raise KeyError(f"{self.name} has no state {code!r}; it has {known}")


def _seen(
    name: str, item: str, *states: str, belt_only: bool = False,
    motors: tuple[str, ...] = MOTOR_TYPES,
) -> Quantity:  # fmt: skip
    """A seen item from short texts such as ``"plugged act"`` or ``"witnessed"`` (no verdict)."""
    parsed = []
    for text in states:
        code, _, verdict = text.partition(" ")
        parsed.append(State(code, verdict or None))  # type: ignore[arg-type]
    return Quantity(
        name, item, states=tuple(parsed), rule="seen", belt_only=belt_only, motors=motors
    )


WOUND = (THREE_PHASE, SPLIT_CAPACITOR, OTHER_MOTOR)
RANGED = ("", "<", ">", "over", "unstable")
VIBRATION_UNITS = ("mm/s", "in/s")
VIBRATION_POINTS = ("motor_radial", "motor_axial", "bearing_radial", "bearing_axial", "curb")
GREASE_PLACES = ("hood", "duct", "housing")


def _volts(line: str) -> Quantity:
    motors = MOTOR_TYPES if line == "ab" else (THREE_PHASE,)
    return Quantity(
        f"volts_{line}_v",
        "supply",
        "V",
        ("V", "kV"),
        0,
        700,
        rule="volts",
        motors=motors,
        live=True,
    )


def _amps(leg: str) -> Quantity:
    motors = MOTOR_TYPES if leg == "a" else (THREE_PHASE,)
    return Quantity(
        f"amps_{leg}_a", "motor", "A", ("A", "mA"), 0, 200, rule="amps", motors=motors,
        qualifiers=RANGED, live=True, context=("amps_place",),
    )  # fmt: skip


def _ohms(name: str, item: str, rule: str, motors: tuple[str, ...], high: float) -> Quantity:
    return Quantity(
        name, item, "ohm", ("ohm", "mohm", "kohm"), 0, high, rule=rule, motors=motors,
        qualifiers=RANGED, context=("pole_meter",) if rule == "pole" else (),
    )  # fmt: skip


def _vibration(point: str) -> Quantity:
    return Quantity(
        f"vibration_{point}_mm_s", "wheel", "mm/s", VIBRATION_UNITS, 0, 100, rule="vibration",
        qualifiers=RANGED, belt_only=point.startswith("bearing"),
        context=("vibration_detector", "vibration_meter", "vibration_hz"),
    )  # fmt: skip


def _grease(place: str, end: str) -> Quantity:
    return Quantity(
        f"grease_{place}_{end}_um", "housing" if place == "housing" else "duct", "um",
        ("um", "mil", "in", "mm"), 0, 20_000, rule="grease",
    )  # fmt: skip


MEASURED: tuple[Quantity, ...] = (
    *(_volts(line) for line in ("ab", "bc", "ca")),
    *(_amps(leg) for leg in ("a", "b", "c")),
    Quantity(
        "overload_setting_a", "overload", "A", ("A",), 0, 200, rule="overload",
        motors=WOUND, live=True,
    ),
    Quantity("breaker_a", "breaker", "A", ("A",), 1, 400, rule="breaker"),
    *(_ohms(f"winding_{p}_ohm", "motor", "winding", WOUND, 5_000) for p in ("ab", "bc", "ca")),
    Quantity(
        "insulation_megohm", "motor", "megohm", ("megohm", "kohm", "gohm"), 0, 1_000_000,
        rule="insulation", motors=WOUND, controls=("none", "triac", "drive_bypassed"),
        qualifiers=RANGED,
    ),
    Quantity("insulation_temperature_c", "motor", "C", ("C", "F"), -40, 180, motors=WOUND),
    *(_ohms(f"pole_{n}_ohm", "switch", "pole", MOTOR_TYPES, 1_000_000) for n in (1, 2, 3)),
    _ohms("lead_zero_ohm", "switch", "", MOTOR_TYPES, 10),
    Quantity(
        "capacitor_uf", "capacitor", "uF", ("uF",), 0, 500, rule="capacitor",
        motors=(SPLIT_CAPACITOR,), qualifiers=RANGED,
    ),
    *(_vibration(point) for point in VIBRATION_POINTS),
    *(_grease(place, end) for place in GREASE_PLACES for end in ("low", "high")),
    Quantity(
        "temperature_difference_k", "feed", "K", ("K", "F_difference"), 0, 300,
        rule="temperature_difference", live=True,
    ),
    Quantity(
        "belt_deflection_mm", "belt", "mm", ("mm", "in"), 0, 200, rule="belt_deflection",
        belt_only=True,
    ),
    Quantity("belt_span_mm", "belt", "mm", ("mm", "in"), 50, 5_000, belt_only=True),
    Quantity(
        "sheave_wear_mm", "sheaves", "mm", ("mm", "in"), 0, 20, rule="sheave_wear", belt_only=True
    ),
    Quantity("hour_meter_h", "drive", "h", ("h",), 0, 10_000_000),
    Quantity("speed_rpm", "wheel", "rpm", ("rpm",), 0, 10_000),
    Quantity("supply_hz", "supply", "Hz", ("Hz",), 0, 400),
)  # fmt: skip

SEEN: tuple[Quantity, ...] = (
    _seen("running", "motor", "runs within", "off_by_request", "dead stop"),
    _seen("noise", "bearings", "usual within", "new watch", "grinding act"),
    _seen("vibration_felt", "wheel", "none within", "slight watch", "strong act", "violent stop"),
    _seen("motor_vents", "motor", "clear within", "dusty watch", "plugged act"),
    _seen("corrosion", "housing", "none within", "surface watch", "deep act", "holed stop"),
    _seen("hinge", "hinge", "sound within", "loose watch", "broken stop", "none act"),
    _seen(
        "catch", "catch", "engaged within", "defeatable watch", "missing act", "defeated stop"
    ),
    _seen("cable", "cable", "sound within", "stretched watch", "damaged act", "bare stop"),
    _seen("switch_cover", "switch", "tight within", "loose watch", "open act"),
    _seen("switch_feel", "switch", "crisp within", "loose act"),
    _seen("wheel", "wheel", "clean within", "dirty watch", "dented act", "rubbing stop"),
    _seen("wheel_gap", "wheel", "even within", "uneven watch", "touching stop"),
    _seen("setscrews", "wheel", "tight within", "found_loose act"),
    _seen("rotation", "motor", "right within", "wrong act"),
    _seen(
        "belt", "belt", "sound within", "worn watch", "cracked act", "glazed act", "missing stop",
        belt_only=True,
    ),
    _seen(
        "sheaves", "sheaves", "sound within", "worn watch", "cracked act", "missing stop",
        belt_only=True,
    ),
    _seen(
        "bearings", "bearings", "quiet within", "noisy watch", "hot act", "rough act",
        belt_only=True,
    ),
    _seen("grease_box", "grease_box", "fine within", "full watch", "overflowing act"),
    _seen("guard", "guard", "on within", "off stop"),
    _seen("curb", "curb", "tight within", "leaking watch", "loose act"),
    _seen("hood_switch", "hood_switch", "works within", "doubtful watch", "fails act"),
    _seen("heat_sensor", "heat_sensor", "works within", "doubtful watch", "fails act"),
    _seen("make_up_air", "make_up_air", "follows within", "does_not_follow act"),
    _seen("fire_system_start", "fire_system", "witnessed", "not_seen"),
    _seen("overload_present", "overload", "present within", "none act"),
    _seen(
        "capacitor_case", "capacitor", "sound within", "bulged stop",
        motors=(SPLIT_CAPACITOR, OTHER_MOTOR),
    ),
    _seen("volts_word", "supply", "given_by_qualified", "not_measured"),
    _seen("amps_absent", "motor", "not_measured"),
)  # fmt: skip

QUANTITIES: MappingProxyType[str, Quantity] = MappingProxyType(
    {quantity.name: quantity for quantity in (*MEASURED, *SEEN)}
)


@dataclass(frozen=True)
class ContextField:
    """A qualifier of the whole check, stored beside the readings it explains."""

    name: str
    choices: tuple[str, ...] = ()
    low: float = 0.0
    high: float = 0.0


CONTEXT: tuple[ContextField, ...] = (
    ContextField("amps_place", ("line", "drive_output")),
    ContextField("vibration_detector", ("rms", "peak")),
    ContextField("vibration_meter", ("overall", "spectrum", "phone")),
    ContextField("vibration_hz", low=0, high=400),
    ContextField("pole_meter", ("low_resistance", "multimeter")),
)

WALK_THROUGH_DIRECT = (
    "running", "noise", "vibration", "motor_vents", "corrosion", "hinge", "catch", "cable",
    "switch_cover", "wheel", "grease_box", "guard", "curb",
)  # fmt: skip
WALK_THROUGH_BELT = (*WALK_THROUGH_DIRECT, "belt", "sheaves", "bearings")
LOOK_LISTS: dict[str, tuple[str, ...]] = {
    "walk_through_direct": WALK_THROUGH_DIRECT,
    "walk_through_belt": WALK_THROUGH_BELT,
    "hood_cleaning": (
        "running", "rotation", "vibration", "hinge", "catch", "cable", "wheel", "wheel_gap",
        "grease_box",
    ),
    "new_belt": ("belt", "vibration"),
    "start_up": ("volts", "amps", "rotation", "vibration", "setscrews", "noise"),
    "storm": ("running", "rotation", "guard", "switch_cover"),
    "power_event": ("running", "rotation", "guard", "switch_cover"),
}  # fmt: skip

ALWAYS_ANSWERED_BY: dict[str, tuple[str, ...]] = {
    "vibration": ("vibration_felt", *(f"vibration_{point}_mm_s" for point in VIBRATION_POINTS)),
    "volts": ("volts_ab_v", "volts_word"),
    "amps": ("amps_a_a", "amps_absent"),
}
"""List entries answered by any one of several columns; every other entry is its own column."""

LIMIT_SUBJECTS: MappingProxyType[str, str] = MappingProxyType({
    "volts": "supply", "volts_unbalance": "supply", "lost_phase": "supply", "amps": "motor",
    "amps_unbalance": "motor", "overload": "overload", "breaker": "breaker",
    "winding_unbalance": "motor", "insulation": "motor", "poles": "switch",
    "capacitor": "capacitor", "vibration": "wheel", "grease_hood": "duct", "grease_duct": "duct",
    "grease_housing": "housing", "temperature_difference": "feed", "belt_deflection": "belt",
    "sheave_wear": "sheaves",
})  # fmt: skip
"""Subjects judged from measured readings under a name of their own, with their item."""


def item_of(subject: str) -> str:
    """The maintainable item of a subject; one that is no subject is an item by itself."""
    if subject in QUANTITIES:
        return QUANTITIES[subject].item
    return LIMIT_SUBJECTS.get(subject, subject)


BELT_ITEMS = frozenset({"belt", "sheaves"})
"""Items that only a belt drive has; a motor on its own shaft has bearings too."""


def is_of_belt(subject: str) -> bool:
    """Whether a subject, item or reading is about a part that only a belt drive has."""
    return item_of(subject) in BELT_ITEMS
