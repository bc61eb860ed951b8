"""One check laid out for judging: readings sorted out, plate and feed, the rating in use."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from math import isfinite

from fleet.plates import Connected, Feed, Plate, connected_rating
from fleet.quantities import ELECTRONIC, QUANTITIES, SPLIT_CAPACITOR, THREE_PHASE, Quantity
from fleet.ratings import FullLoad, PlateError, full_load
from fleet.refusals import Said
from fleet.units import UnitError, to_canonical, unit_code
from visits.limits import judgement as codes
from visits.limits.giving import cannot, cannot_missing
from visits.limits.judgement import Judgement
from visits.limits.parameters import Limits
from visits.limits.readings import Reading, Span, span

Given = Reading | float | str
LINES = ("volts_ab_v", "volts_bc_v", "volts_ca_v")
LEGS = ("amps_a_a", "amps_b_a", "amps_c_a")

SUBJECT_OF_RULE = {
    "pole": "poles",
    "winding": "winding_unbalance",
}
"""Subject where it is not the registry's name of the rule."""


@dataclass(frozen=True, slots=True)
class Context:
    """What explains the readings of one check; empty is not recorded.

    The first five are the registry's context fields.  ``slight_before``: vibration was felt slight
    at an earlier look since the last reset.
    """

    amps_place: str = ""
    vibration_detector: str = ""
    vibration_meter: str = ""
    vibration_hz: float | None = None
    pole_meter: str = ""
    slight_before: bool = False


@dataclass(slots=True)
class Case:
    """A check with its readings sorted out: ``spans`` as typed, ``states`` of seen items.

    ``refused`` holds the judgements of readings that cannot be taken further; ``end`` is the end of
    the connected rating that counts for the volts measured.
    """

    plate: Plate
    feed: Feed
    context: Context
    limits: Limits
    spans: dict[str, Span] = field(default_factory=dict)
    states: dict[str, str] = field(default_factory=dict)
    refused: list[Judgement] = field(default_factory=list)
    connected: Connected | None = None
    end: FullLoad | None = None
    plate_error: Said | None = None

    def exact(self, names: Iterable[str]) -> list[float]:
        """Exact values, in canonical units, of those of ``names`` that were read."""
        found = [self.canonical(name) for name in names]
        return [reading.low for reading in found if reading is not None and reading.is_exact]

    def canonical(self, name: str) -> Span | None:
        """A reading in its registry unit, or None."""
        reading = self.spans.get(name)
        return None if reading is None else reading.to(QUANTITIES[name].unit)

    def all_of(self, names: Sequence[str]) -> list[Span] | None:
        """The readings called ``names`` in registry units, or None unless all are there."""
        if any(name not in self.spans for name in names):
            return None
        return [self.spans[name].to(QUANTITIES[name].unit) for name in names]

    @property
    def is_three_phase(self) -> bool | None:
        """None where neither motor type nor phases tell."""
        if self.plate.motor_type == THREE_PHASE or self.plate.phases == 3:
            return True
        if self.plate.motor_type == SPLIT_CAPACITOR or self.plate.phases == 1:
            return False
        return None

    @property
    def is_electronic(self) -> bool:
        """Whether the motor has its electronics built in."""
        return self.plate.motor_type == ELECTRONIC

    @property
    def suggested(self) -> bool:
        """Whether the rating in use is only inferred from measured volts."""
        return self.connected is not None and not self.connected.confirmed

    def full_load_a(self) -> float | None:
        """Full-load amperes of the rating's end that counts, where they can be read."""
        end = self.end
        return end.amperes if end is not None and isinstance(end.amperes, float) else None

    def full_load_v(self) -> float | None:
        """Volts of that end, where they can be read."""
        end = self.end
        return end.volts if end is not None and isinstance(end.volts, float) else None

    def no_full_load(self, subject: str, quantity: str) -> Judgement:
        """*Cannot judge* for want of full-load amperes, naming what is missing."""
        end = self.end
        if self.plate_error:
            return cannot(subject, codes.PLATE_UNUSABLE, quantity, error=self.plate_error)
        if end is None and self.plate.volts:
            return cannot_missing(subject, quantity, ["connected_volts"])
        unread = self.plate.cannot_read("full_load_amps") or (
            end is not None and end.amperes is not None
        )
        return cannot_missing(
            subject, quantity, ["full_load_amps"], ["full_load_amps"] if unread else []
        )


def lay_out(
    readings: Mapping[str, Given], plate: Plate, feed: Feed, context: Context, limits: Limits
) -> Case:
    """Sort the readings; what was not asked of this motor or cannot be used is refused at once."""
    case = Case(plate, feed, context, limits)
    for name, given in readings.items():
        quantity = QUANTITIES[name]
        reading = given if isinstance(given, Reading) else Reading(given)
        if reading.value is None and not reading.qualifier:
            continue
        because = not_asked(quantity, case)
        if because:
            case.refused.extend(_refusal(quantity, reading, because))
        elif quantity.is_seen:
            case.states[name] = quantity.state(str(reading.value)).code
        else:
            _take(case, quantity, reading)
    _connect(case)
    return case


def not_asked(quantity: Quantity, case: Case) -> str:
    """Why this reading is not asked of this fan (motor_type, control, drive), or empty."""
    plate = case.plate
    lines = quantity.name in LINES or quantity.name in LEGS
    other_motor = plate.motor_type and plate.motor_type not in quantity.motors
    if other_motor and not (lines and case.is_three_phase):
        return "motor_type"
    if case.feed.control not in quantity.controls:
        return "control"
    return "drive" if quantity.belt_only and plate.drive == "direct" else ""


def _refusal(quantity: Quantity, reading: Reading, because: str) -> Iterator[Judgement]:
    if quantity.rule:
        seen = str(reading.value) if quantity.is_seen else ""
        subject = subject_of(quantity)
        yield cannot(subject, codes.NOT_ASKED, quantity.name, because=because, seen=seen)


def _take(case: Case, quantity: Quantity, reading: Reading) -> None:
    try:
        unit = unit_code(reading.unit) if reading.unit else quantity.unit
        value = None if reading.value is None else float(reading.value)
        if value is not None and (unit != quantity.unit or not isfinite(value)):
            to_canonical(value, unit, quantity.unit, quantity.accepted)
        case.spans[quantity.name] = span(value, unit, reading.qualifier)
    except (UnitError, ValueError) as error:
        case.refused.append(
            cannot(subject_of(quantity), codes.UNUSABLE, quantity.name, error=str(error))
        )


def _connect(case: Case) -> None:
    volts = case.exact(LINES)
    try:
        case.connected = connected_rating(case.plate, case.feed, volts)
        if case.connected is not None:
            case.end = full_load(case.connected.rating, volts)
    except PlateError as error:
        case.plate_error = error.said


def subject_of(quantity: Quantity) -> str:
    """The subject a reading belongs to: its rule, or its own name if it is a seen item."""
    if quantity.is_seen or not quantity.rule:
        return quantity.name
    return SUBJECT_OF_RULE.get(quantity.rule, quantity.rule)
