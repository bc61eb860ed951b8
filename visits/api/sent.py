"""The shapes of what the API takes: the documented format of ``visits.payload``, for the schema.

What is sent is read by ``visits.payload`` itself, which knows more than a schema can say; a test
holds both to the same keys.
"""

from __future__ import annotations

from typing import Any

from django.conf import settings
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from fleet.quantities import CONTEXT, GREASE_PLACES, MEASURED, QUALIFIERS, SEEN, Quantity
from visits.payload.names import GREASE, SUBJECTS, short_name
from visits.payload.others import EVENT_KINDS, LONGEST_DAYS
from visits.payload.visit import (
    ABOUT,
    ANSWERS,
    KINDS,
    LONGEST_VISIT_DAYS,
    REASONS,
    SEVERITY_VERDICT,
    STAGES,
    SWITCH,
    WORK,
)

PLACE_HELP = "as in the register; or give site_id"
MOMENT_HELP = "2026-03-02T09:10-06:00, 2026-03-02T09:10 (the site's clock) or 2026-03-02"
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


@extend_schema_field({"type": "string"})
class MomentText(serializers.Field[Any, Any, Any, Any]):
    """A day, a clock reading, or an instant."""


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
SeenSent = _named(
    "SeenSent",
    "What was seen, felt or heard.",
    {each.name: choice(each.state_codes) for each in SEEN},
)
ContextSent = _named(
    "ContextSent",
    "What explains the readings of a check.",
    {
        each.name: choice(each.choices)
        if each.choices
        else serializers.FloatField(required=False, min_value=each.low, max_value=each.high)
        for each in CONTEXT
    },
)


STAGE_HELP = (
    "What was found before anything was touched: as_found, also if left out; how the fan was left "
    "afterwards: as_left. Dates, findings and stops follow what was found; readings as left set no "
    "date, they only close what they show to be mended, or tell the grease left. A fan has one "
    "check of each stage in a visit: found dead, it says `running: dead`, and beside it what was "
    "read once it ran."
)


class CheckSent(serializers.Serializer[Any]):
    """One fan at one stage."""

    fan = text(40, required=True, help_text="its tag")
    stage = choice(STAGES, help_text=STAGE_HELP)
    readings = ReadingsSent(required=False)
    seen = SeenSent(required=False)
    context = ContextSent(required=False)
    lasting = serializers.ListField(
        child=choice(sorted(SUBJECTS)),
        required=False,
        help_text="subjects that will stay as found, as 205 V from the utility: they set no "
        "returning date until a worse verdict comes; a stop cannot be lasting",
    )
    recheck = serializers.DictField(
        child=serializers.DateField(),
        required=False,
        help_text="by subject, your own day for the next look; it goes before the usual one",
    )
    switch_left = choice(SWITCH, help_text="how the disconnecting switch was left")
    notes = text(4000)


class FindingSent(serializers.Serializer[Any]):
    """A fault somebody wrote down; either ``subject`` or ``item`` must be there."""

    id = serializers.UUIDField(required=False)
    fan = text(40, required=True)
    subject = choice(sorted(SUBJECTS))
    item = choice(ABOUT)
    severity = choice(SEVERITY_VERDICT, required=True)
    verdict = choice(SEVERITY_VERDICT.values(), help_text="follows the severity if left out")
    failure_mode = text(8)
    mechanism = text(40)
    cause = text(40, help_text="left out: not known")
    loss_of_function = serializers.BooleanField(required=False)
    lasting = serializers.BooleanField(required=False)
    failed_on = serializers.DateField(required=False)
    recheck_on = serializers.DateField(required=False)
    note = text(4000)


class ActionSent(serializers.Serializer[Any]):
    """Work done; ``machine`` is the new nameplate where a machine was replaced."""

    fan = text(40, required=True)
    kind = choice(WORK, required=True)
    item = choice(ABOUT)
    part = text(120)
    note = text(4000)
    machine = serializers.DictField(required=False)


class AnswerSent(serializers.Serializer[Any]):
    """An owner's answer given on the spot."""

    id = serializers.UUIDField(required=False)
    answer = choice(ANSWERS, required=True)
    on = serializers.DateField()
    not_before = serializers.DateField(required=False)
    decided_by = text(120)
    note = text(4000)


class OtherAnswerSent(AnswerSent):
    """An owner's answer to advice on record, or on a subject of a fan."""

    recommendation = serializers.UUIDField(required=False)
    fan = text(40)
    subject = choice(ABOUT)


class AdviceSent(serializers.Serializer[Any]):
    """Advice to the owner."""

    id = serializers.UUIDField(required=False)
    fan = text(40, required=True)
    subject = choice(ABOUT, required=True)
    text = text(4000, required=True)
    cost = serializers.DecimalField(
        10, 2, required=False, min_value=0, help_text=f"about what it costs [{settings.CURRENCY}]"
    )
    decision = AnswerSent(required=False)


class NotReachedSent(serializers.Serializer[Any]):
    """A fan, or one item of it, that the visit did not get at."""

    fan = serializers.CharField(max_length=40)
    item = choice(ABOUT, help_text="left out: the whole fan")
    reason = choice(REASONS, required=True)
    note = serializers.CharField(max_length=250, required=False)


class MadeSafeSent(serializers.Serializer[Any]):
    """A fan taken out of service."""

    fan = text(40, required=True)
    told = text(120, required=True)
    lock_holder = text(120)
    cook_line_stopped = serializers.BooleanField(required=False)
    restarts_when = text()
    promised_on = serializers.DateField(required=False)


class InspectionSent(serializers.Serializer[Any]):
    """A code inspection of a system."""

    system = text(80, help_text="must be there where the site has several")
    areas_not_cleaned = text(4000)


class RecordSent(serializers.Serializer[Any]):
    """What every record has; ``id`` is made by whoever sends it and kept until it is answered."""

    id = serializers.UUIDField()


class PlacedSent(RecordSent):
    """A record of one site, by ``site_id`` or by owner and site."""

    site_id = serializers.IntegerField(required=False, min_value=1)
    owner = text(help_text=PLACE_HELP)
    site = text(help_text=PLACE_HELP)


class VisitSent(PlacedSent):
    """A visit, or a correction that replaces an earlier one whole."""

    type = choice(["visit"])
    kind = choice(KINDS, required=True)
    began_at = MomentText(help_text=MOMENT_HELP)
    ended_at = MomentText(
        required=False,
        help_text=f"{MOMENT_HELP}; at most {LONGEST_VISIT_DAYS} days after it began",
    )
    technician = text(
        120,
        help_text="a login or a name; left out: whoever sends it, in a correction whoever the "
        "corrected visit names; for an inspection to count, they send it, or somebody who plans",
    )
    notes = text(4000)
    supersedes = serializers.UUIDField(required=False)
    correction_reason = text(help_text="must be there with supersedes")
    checks = CheckSent(many=True, required=False)
    findings = FindingSent(many=True, required=False)
    actions = ActionSent(many=True, required=False)
    recommendations = AdviceSent(many=True, required=False)
    decisions = OtherAnswerSent(many=True, required=False)
    not_reached = NotReachedSent(many=True, required=False)
    made_safe = MadeSafeSent(many=True, required=False)
    inspections = InspectionSent(many=True, required=False)


class EventSent(PlacedSent):
    """Something that happened between visits, to a fan, to a system, or to the whole site."""

    type = choice(["event"])
    kind = choice(EVENT_KINDS, required=True)
    system = text(80)
    fan = text(40)
    started = MomentText(help_text=MOMENT_HELP)
    ended = MomentText(
        required=False,
        help_text=f"{MOMENT_HELP}; left out: as started; at most so many days later: "
        + ", ".join(f"{kind} {days}" for kind, days in LONGEST_DAYS.items()),
    )
    crew = text(120)
    tipped = serializers.ListField(child=text(), required=False, help_text="tags")
    places_cleaned = serializers.ListField(child=choice(GREASE_PLACES), required=False)
    places_not_cleaned = serializers.ListField(child=choice(GREASE_PLACES), required=False)
    wheel_cleaned = serializers.BooleanField(required=False)
    resets = serializers.IntegerField(required=False, min_value=0, max_value=1000)
    running_on = serializers.DateField(required=False)
    note = text(4000)
    supersedes = serializers.UUIDField(required=False)
    correction_reason = text(help_text="must be there with supersedes")


class DecisionSent(PlacedSent, OtherAnswerSent):
    """An owner's answer by itself: to a ``recommendation``, or on a fan's subject at a site."""

    type = choice(["decision"])


class ClosingSent(RecordSent):
    """A finding closed with its reason."""

    type = choice(["closing"])
    finding = serializers.UUIDField()
    closed_on = serializers.DateField()
    reason = text(required=True)
    closed_by = text(150, help_text="a login; left out: whoever sends it")
