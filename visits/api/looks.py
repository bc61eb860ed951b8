"""The shapes of what a look takes: readings, what was seen, and what explains them.

What they mean to a reader of the schema is said here, once; names, units and states are the
registry's.
"""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from fleet.quantities import CONTEXT, LOOK_LISTS, MEASURED, QUALIFIERS, SEEN, Quantity
from visits.payload.names import GREASE, short_name

NUMBER = {"type": "number"}
TEXT = {"type": "string", "maxLength": 60}
WITH_UNIT = {"unit": {"type": "string"}}
QUALIFIED = {"qualifier": {"type": "string", "enum": list(QUALIFIERS)}}
MEASUREMENT = {"type": "object", "properties": {"value": NUMBER, **WITH_UNIT, **QUALIFIED}}
COMB = {
    "type": "object", "required": ["high"],
    "properties": {"low": NUMBER, "high": NUMBER, **WITH_UNIT},
}  # fmt: skip


@extend_schema_field({"oneOf": [NUMBER, TEXT, MEASUREMENT]})
class Reading(serializers.Field[Any, Any, Any, Any]):
    """``200``, ``"200 V"``, ``"<0.05 in/s"``, ``"OL"``, or its parts."""


@extend_schema_field({"oneOf": [NUMBER, TEXT, COMB]})
class GreaseReading(serializers.Field[Any, Any, Any, Any]):
    """A depth, or the two ends of a comb's interval."""


def choice(codes: Any, **told: Any) -> serializers.ChoiceField:
    """One of these codes, left out unless it must be there."""
    return serializers.ChoiceField(choices=list(codes), **{"required": False, **told})


def text(longest: int = 250, **told: Any) -> serializers.CharField:
    """A text, left out unless it must be there."""
    return serializers.CharField(max_length=longest, **{"required": False, **told})


def _named(name: str, doc: str, parts: dict[str, Any]) -> Any:
    return type(name, (serializers.Serializer,), {"__doc__": doc, **parts})


READING_HELP = {
    "volts": "line side, line to line, running",
    "amps": "each leg, running; `context.amps_place` says on which side of a drive",
    "overload_setting": "what the overload relay is set to",
    "breaker": "the size printed on it",
    "winding": "between two leads of the motor, disconnected",
    "insulation": "winding to ground",
    "insulation_temperature": "of the winding when its insulation was measured",
    "pole": "across one closed pole of the disconnecting switch, without voltage; "
    "`context.pole_meter` says by what",
    "lead_zero": "the meter's leads held together: a multimeter's poles are read less this",
    "capacitor": "discharged and disconnected",
    "vibration": "velocity; `context.vibration_detector` says whether rms or peak, or the "
    "reading itself does (`0.35 in/s peak`)",
    "temperature_difference": "between similar parts under similar load",
    "belt_deflection": "in the middle of the span, at the force the belt's maker names",
    "belt_span": "between the shafts",
    "sheave_wear": "depth of wear in a groove",
    "hour_meter": "what it shows",
    "speed": "of the wheel",
    "supply": "frequency of the supply",
}
"""What is read, by name or by how names begin."""
GREASE_HELP = "depth by a comb, in one of um, mil, in, mm; one figure or both ends of its interval"


def _reading_help(reading: Quantity) -> str:
    """What is read, and in which units it is taken, the one meant without any first."""
    name = short_name(reading)
    begun = (begin for begin in READING_HELP if name.startswith(begin))
    what = READING_HELP.get(max(begun, key=len, default=""), "")
    first, *others = dict.fromkeys((reading.unit, *reading.accepted))
    units = f"in {first} (or {', '.join(others)})" if others else f"in {first}"
    return f"{what}, {units}" if what else units


ReadingsSent = _named(
    "ReadingsSent",
    "Readings by name; names with the unit at their end are taken as well.",
    {
        short_name(each): Reading(required=False, help_text=_reading_help(each))
        for each in MEASURED
        if each.rule != "grease"
    }
    | {name: GreaseReading(required=False, help_text=GREASE_HELP) for name in GREASE},
)
SEEN_HELP = {
    "running": "dead: it does not run though it should",
    "noise": "beside what it usually sounds like",
    "vibration_felt": "none: a hand feels nothing on the curb; slight: felt by hand; strong: seen, "
    "the curb hums; violent: parts move, noise, hold back",
    "motor_vents": "cooling openings of the motor",
    "corrosion": "of motor and housing",
    "hinge": "on which the fan is tipped",
    "catch": "holds the tipped fan open; engaged: present and engaged",
    "cable": "the flexible cable to the motor",
    "switch_cover": "of the disconnecting switch, and its conduit",
    "switch_feel": "of the disconnecting switch, as it is thrown",
    "wheel_gap": "between wheel and inlet",
    "guard": "over moving parts",
    "hood_switch": "the kitchen's switch for the fan",
    "heat_sensor": "starts the fan when it gets hot under the hood",
    "make_up_air": "comes on with the fan",
    "fire_system_start": "whether the fire system was seen to start the fan",
    "overload_present": "whether an overload protects the motor",
    "volts_word": "the voltage by word of somebody qualified, instead of readings",
    "amps_absent": "says that the current was not measured",
}


def _seen_help(item: Quantity) -> str:
    """What an item is, and the verdict that each of its states gives."""
    given = ", ".join(f"{state.code} {state.verdict}" for state in item.states if state.verdict)
    what = SEEN_HELP.get(item.name, "")
    return "; ".join(part for part in (what, f"verdicts: {given}" if given else "") if part)


LOOKS = "\n".join(f"- {name}: {', '.join(items)}" for name, items in LOOK_LISTS.items())
CONTEXT_HELP = {
    "amps_place": "on which side of a drive the current was read; without a drive left out",
    "vibration_detector": "without it vibration cannot be judged",
    "vibration_meter": "readings of one kind of meter make a series",
    "vibration_hz": "the drive's frequency; readings at one speed make a series",
    "pole_meter": "a multimeter shows a bad pole, never a good one",
}
SeenSent = _named(
    "SeenSent",
    "What was seen, felt or heard.  One check that answers a whole list counts as that look "
    f"(vibration: felt, or any point measured; volts, amps: read, or `volts_word`, "
    f"`amps_absent`):\n\n{LOOKS}",
    {each.name: choice(each.state_codes, help_text=_seen_help(each)) for each in SEEN},
)
ContextSent = _named(
    "ContextSent",
    "What explains the readings of a check.",
    {
        each.name: choice(each.choices, help_text=CONTEXT_HELP[each.name])
        if each.choices
        else serializers.FloatField(
            required=False,
            min_value=each.low,
            max_value=each.high,
            help_text=CONTEXT_HELP[each.name],
        )
        for each in CONTEXT
    },
)
