"""What readings will be judged by, before they are taken: the very bands that judging uses."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from fleet.plates import Feed, Plate
from fleet.quantities import GREASE_PLACES, QUANTITIES, THREE_PHASE, VIBRATION_POINTS, Verdict
from fleet.units import convert
from visits.limits import judgement as codes
from visits.limits.basis import NEC_OVERLOAD, Basis
from visits.limits.case import LEGS, LINES, Case, Context, Given, lay_out, not_asked
from visits.limits.current import AMPS, SERVICE_FACTORS, amps_bands, near_rating_v
from visits.limits.drive import DEFLECTION_PER_SPAN
from visits.limits.giving import cannot, cannot_missing
from visits.limits.judgement import Judgement
from visits.limits.mechanical import (
    BELT_VERDICTS,
    WORSENING,
    belt_bands,
    grease_bands,
    grease_basis,
    vibration_bands,
)
from visits.limits.parameters import DEFAULT_LIMITS, Limits
from visits.limits.protection import SETTING, overload_ratios
from visits.limits.readings import Bands, up_to
from visits.limits.resistance import (
    CAPACITOR,
    CAPACITOR_VERDICTS,
    INSULATION,
    INSULATION_AT,
    POLES,
    WINDINGS,
    capacitor_bands,
    insulation_bands,
)
from visits.limits.supply import no_rating, rated_volts, volts_bands

NO_UNITS: Mapping[str, str] = {}


@dataclass(frozen=True, slots=True)
class Ahead:
    """What readings of one subject will be judged by.

    ``verdicts`` are those of the bands between the rising ``cuts``, which are in ``unit``; a value
    at a cut belongs below it where ``ends_below`` says so.  Where there are no numbers ``cannot``
    is the judgement that a reading would get.  ``args`` by subject: ``full_load_a``, ``factor`` and
    ``near_v`` of current, ``detector`` of vibration, with ``stop_basis`` where its stop has another
    source, ``span_mm`` of a belt.
    """

    subject: str
    quantities: tuple[str, ...]
    unit: str = ""
    cuts: tuple[float, ...] = ()
    ends_below: tuple[bool, ...] = ()
    verdicts: tuple[Verdict, ...] = ()
    basis: Basis | None = None
    args: Mapping[str, Any] = field(default_factory=dict)
    cannot: Judgement | None = None


def look_ahead(
    subjects: Iterable[str],
    *,
    plate: Plate,
    feed: Feed,
    known: Mapping[str, Given],
    context: Context,
    units: Mapping[str, str] = NO_UNITS,
    limits: Limits = DEFAULT_LIMITS,
) -> list[Ahead]:
    """What readings of ``subjects`` will be judged by; those not asked of this motor are left out.

    Subjects are those of ``fleet.quantities.LIMIT_SUBJECTS``, vibration by its point
    (``vibration_curb``).  ``known`` are earlier readings that limits hang on (volts, the belt's
    span), ``units`` by quantity in which one is wont to read.
    """
    case = lay_out(known, plate, feed, context, limits)
    return list(_each(subjects, case, units))


def _each(subjects: Iterable[str], case: Case, units: Mapping[str, str]) -> Iterator[Ahead]:
    for subject in subjects:
        names, tell = SUBJECTS[subject]
        asked = tuple(name for name in names if not not_asked(QUANTITIES[name], case))
        if names[0] in asked and (told := tell(case, _Reading(subject, asked, units))):
            yield told


@dataclass(frozen=True, slots=True)
class _Reading:
    """What is to be read, and in which unit."""

    subject: str
    names: tuple[str, ...]
    units: Mapping[str, str]

    @property
    def unit(self) -> str:
        name = self.names[0]
        return self.units.get(name, QUANTITIES[name].unit)

    def by(
        self, bands: Bands, verdicts: Sequence[Verdict], basis: Basis, unit: str = "", **args: Any
    ) -> Ahead:
        return Ahead(
            self.subject, self.names, unit or self.unit, bands.cuts, bands.ends_below,
            tuple(verdicts), basis, args,
        )  # fmt: skip

    def without(self, cannot: Judgement, **args: Any) -> Ahead:
        return Ahead(self.subject, self.names, args=args, cannot=cannot)

    def missing(self, case: Case, name: str, **args: Any) -> Ahead:
        unread = [name] if case.plate.cannot_read(name) else []
        return self.without(cannot_missing(self.subject, self.names[0], [name], unread), **args)


def _volts(case: Case, reading: _Reading) -> Ahead:
    rated, on_drive = rated_volts(case), case.feed.control == "drive"
    if case.plate_error and not on_drive:
        error = cannot("volts", codes.PLATE_UNUSABLE, reading.names[0], error=case.plate_error)
        return reading.without(error)
    if rated is None:
        return reading.without(no_rating(case, reading.names[0]))
    if case.suggested and not on_drive:
        return reading.missing(case, "connected_volts")
    basis = case.limits.basis("volts_ratio")
    return reading.by(volts_bands(case, rated), ("act", "within", "act"), basis, "V")


def _volts_unbalance(case: Case, reading: _Reading) -> Ahead | None:
    if not case.is_three_phase:
        return None
    bands = up_to(case.limits.volts_unbalance_percent, *WORSENING)
    return reading.by(bands, WORSENING, case.limits.basis("volts_unbalance_percent"), "%")


def _amps(case: Case, reading: _Reading) -> Ahead:
    full_load_a, near_v = case.full_load_a(), near_rating_v(case)
    if full_load_a is None:
        return reading.without(case.no_full_load("amps", reading.names[0]))
    if case.plate.cannot_read("service_factor"):
        return reading.missing(case, "service_factor", full_load_a=full_load_a)
    factor = case.plate.service_factor or SERVICE_FACTORS[0]
    bands = amps_bands(case, full_load_a, factor, near_v is not None)
    slack = case.limits.volts_near_ratio * (near_v or 0.0)
    return reading.by(
        bands, [AMPS[code] for code in bands.codes], case.limits.basis("current_stop_ratio"), "A",
        full_load_a=full_load_a, factor=factor,
        near_v=near_v and (near_v - slack, near_v + slack),
    )  # fmt: skip


def _amps_unbalance(case: Case, reading: _Reading) -> Ahead | None:
    if case.plate.motor_type != THREE_PHASE:
        return None
    bands = up_to(case.limits.current_unbalance_percent, "within", "some", "high")
    basis = case.limits.basis("current_unbalance_percent")
    return reading.by(bands, WORSENING[:3], basis, "%")


def _overload(case: Case, reading: _Reading) -> Ahead | None:
    full_load_a = case.full_load_a()
    if case.plate.thermally_protected or case.is_electronic:
        return None
    if full_load_a is None:
        return reading.without(case.no_full_load("overload", SETTING))
    if case.plate.cannot_read("service_factor"):
        return reading.missing(case, "service_factor", full_load_a=full_load_a)
    ratio, _hard = overload_ratios(case, case.plate.service_factor or 1.0)
    bands = up_to((ratio * full_load_a,), "within", "above")
    return reading.by(bands, ("within", "act"), NEC_OVERLOAD, "A", full_load_a=full_load_a)


def _winding(case: Case, reading: _Reading) -> Ahead | None:
    if case.feed.control in ("drive", "triac") or not case.is_three_phase:
        return None
    bands = up_to(case.limits.winding_unbalance_percent, "within", "some", "high")
    return reading.by(bands, WORSENING[:3], case.limits.basis("winding_unbalance_percent"), "%")


def _insulation(case: Case, reading: _Reading) -> Ahead:
    if not case.plate.motor_type:
        return reading.missing(case, "motor_type")
    bands, verdicts = insulation_bands(case)
    return reading.by(bands, verdicts, case.limits.basis("insulation_megohm"), "megohm")


def _poles(case: Case, reading: _Reading) -> Ahead:
    if case.context.pole_meter == "multimeter":
        bands = up_to((case.limits.pole_multimeter_ohm,), "not_above", "above")
        basis = case.limits.basis("pole_multimeter_ohm")
        return reading.by(bands, ("cannot_judge", "act"), basis, "ohm")
    bands = up_to((case.limits.pole_ratio,), "alike", "high")
    return reading.by(bands, ("within", "act"), case.limits.basis("pole_ratio"), "of_lowest")


def _capacitor(case: Case, reading: _Reading) -> Ahead:
    if case.plate.capacitor_uf is None:
        return reading.missing(case, "capacitor_uf")
    bands = capacitor_bands(case, case.plate.capacitor_uf)
    basis = case.limits.basis("capacitor_tolerance_percent")
    return reading.by(bands, tuple(CAPACITOR_VERDICTS.values()), basis, "uF")


def _vibration(case: Case, reading: _Reading) -> Ahead:
    power_hp, detector = case.plate.power_hp, case.context.vibration_detector or "rms"
    if power_hp is None:
        return reading.missing(case, "power_hp")
    limits = case.limits.vibration_limits(power_hp, case.plate.mounting, reading.unit, detector)
    if limits is None:
        no_column = {"detector": detector, "unit": reading.unit}
        return reading.without(
            cannot("vibration", "vibration.no_column", reading.names[0], **no_column)
        )
    category = case.limits.vibration_category(power_hp)
    basis, stop_basis = (
        case.limits.vibration_basis(category, reading.unit, verdict) for verdict in ("", "stop")
    )
    own = None if stop_basis == basis else stop_basis
    bands = vibration_bands(limits)
    return reading.by(bands, WORSENING, basis, detector=detector, stop_basis=own)


def _grease(case: Case, reading: _Reading) -> Ahead:
    place = reading.subject.removeprefix("grease_")
    bands = grease_bands(case, place, reading.unit)
    return reading.by(bands, WORSENING[:3], grease_basis(case, place))


def _temperature_difference(case: Case, reading: _Reading) -> Ahead:
    cuts, ends_below = case.limits.temperature_difference_k, (False, False, True)
    basis = case.limits.basis("temperature_difference_k")
    return reading.by(Bands(cuts, ends_below, tuple(WORSENING)), WORSENING, basis, "K")


def _belt_deflection(case: Case, reading: _Reading) -> Ahead:
    span_mm = case.exact(["belt_span_mm"])
    if not span_mm:
        return reading.missing(case, "belt_span_mm")
    expected = convert(span_mm[0] * DEFLECTION_PER_SPAN, "mm", reading.unit)
    verdicts, basis = tuple(BELT_VERDICTS.values()), case.limits.basis("belt_ratio")
    return reading.by(belt_bands(case, expected), verdicts, basis, span_mm=span_mm[0])


def _sheave_wear(case: Case, reading: _Reading) -> Ahead:
    bands = up_to((case.limits.sheave_wear_in,), "within", "worn")
    return reading.by(bands, ("within", "act"), case.limits.basis("sheave_wear_in"), "in")


Tell = Callable[[Case, _Reading], "Ahead | None"]
SUBJECTS: Mapping[str, tuple[tuple[str, ...], Tell]] = {
    "volts": (LINES, _volts),
    "volts_unbalance": (LINES, _volts_unbalance),
    "amps": (LEGS, _amps),
    "amps_unbalance": (LEGS, _amps_unbalance),
    "overload": ((SETTING,), _overload),
    "winding_unbalance": (WINDINGS, _winding),
    "insulation": ((INSULATION, INSULATION_AT), _insulation),
    "poles": (POLES, _poles),
    "capacitor": ((CAPACITOR,), _capacitor),
    **{
        f"vibration_{point}": ((f"vibration_{point}_mm_s",), _vibration)
        for point in VIBRATION_POINTS
    },
    **{
        f"grease_{place}": ((f"grease_{place}_high_um", f"grease_{place}_low_um"), _grease)
        for place in GREASE_PLACES
    },
    "temperature_difference": (("temperature_difference_k",), _temperature_difference),
    "belt_deflection": (("belt_deflection_mm", "belt_span_mm"), _belt_deflection),
    "sheave_wear": (("sheave_wear_mm",), _sheave_wear),
}
"""Subjects with limits that can be told beforehand: what is read for each, the leading one first,
and how it is told.  A lost phase is seen beside the current, a breaker is read in the register."""
