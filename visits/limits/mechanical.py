"""Vibration as measured, grease at each place, belt deflection and sheave wear."""

from __future__ import annotations

from collections.abc import Iterator

from fleet.quantities import GREASE_PLACES, VIBRATION_POINTS, Verdict
from fleet.units import convert
from visits.limits.basis import Basis
from visits.limits.case import Case
from visits.limits.drive import DEFLECTION_PER_SPAN
from visits.limits.giving import cannot, cannot_missing, in_bands
from visits.limits.judgement import Judgement
from visits.limits.parameters import VibrationLimits
from visits.limits.readings import Bands, Span, from_, up_to

DETECTOR = "vibration_detector"
VIBRATION_NAMES = tuple(f"vibration_{point}_mm_s" for point in VIBRATION_POINTS)
WORSENING: tuple[Verdict, ...] = ("within", "watch", "act", "stop")


def vibration_rows(case: Case) -> Iterator[Judgement]:
    """Each point against ISO 14694's column for its unit and detector, as typed."""
    for name in VIBRATION_NAMES:
        reading = case.spans.get(name)
        if reading is not None:
            yield _vibration(case, name, reading)


def _vibration(case: Case, name: str, reading: Span) -> Judgement:
    detector, power_hp = case.context.vibration_detector, case.plate.power_hp
    missing = [] if detector else [DETECTOR]
    if power_hp is None:
        missing.append("power_hp")
    if missing or power_hp is None:
        unread = [part for part in missing if case.plate.cannot_read(part)]
        return cannot_missing("vibration", name, missing, unread)
    limits = case.limits.vibration_limits(power_hp, case.plate.mounting, reading.unit, detector)
    if limits is None or limits.stop is None:
        return cannot(
            "vibration", "vibration.no_column", name, detector=detector, unit=reading.unit
        )
    category = case.limits.vibration_category(power_hp)
    found = in_bands(
        "vibration", name, reading, vibration_bands(limits), WORSENING,
        case.limits.vibration_basis(category, reading.unit),
        start=limits.start, alarm=limits.alarm, stop=limits.stop,
        detector=detector, category=category, mounting=case.plate.mounting or "rigid",
    )  # fmt: skip
    if found.verdict != "stop":
        return found
    return found._replace(basis=case.limits.vibration_basis(category, reading.unit, "stop"))


def vibration_bands(limits: VibrationLimits) -> Bands:
    """What a point is judged by; ``limits`` come with their stop."""
    cuts = (limits.start, limits.alarm, limits.alarm if limits.stop is None else limits.stop)
    return from_(cuts, "within", "above_start", "alarm", "shutdown")


def grease_rows(case: Case) -> Iterator[Judgement]:
    """Each place by the upper end of the comb's interval, in the unit of its marks."""
    for place in GREASE_PLACES:
        name = f"grease_{place}_high_um"
        reading, lower = case.spans.get(name), case.spans.get(f"grease_{place}_low_um")
        if reading is None and lower is not None:
            # Only the mark that was covered is known: the upper end lies somewhere above it.
            name = f"grease_{place}_low_um"
            reading = Span(lower.low, float("inf"), lower.unit, lower.typed, ">")
        if reading is not None:
            yield _grease(case, place, name, reading)


def _grease(case: Case, place: str, name: str, reading: Span) -> Judgement:
    return in_bands(
        "grease", name, reading, grease_bands(case, place, reading.unit), WORSENING,
        grease_basis(case, place),
        place=place, limit_um=case.limits.grease_limit_um(place),
    )  # fmt: skip


def grease_bands(case: Case, place: str, unit: str) -> Bands:
    """What the upper end of the comb's interval is judged by."""
    limit = case.limits.grease_limit(place, unit)
    return from_((case.limits.grease_watch_ratio * limit, limit), "within", "near", "at_limit")


def grease_basis(case: Case, place: str) -> Basis:
    """Where a place's limit comes from."""
    return case.limits.basis("grease_housing_um" if place == "housing" else "grease_duct_um")


BELT_VERDICTS: dict[str, Verdict] = {
    "tight": "act", "within": "within", "slack": "watch", "very_slack": "act",
}  # fmt: skip


def belt_bands(case: Case, expected: float) -> Bands:
    """What deflection is judged by, in the unit of the ``expected`` one."""
    cuts = tuple(ratio * expected for ratio in case.limits.belt_ratio)
    return Bands(cuts, (False, True, True), tuple(BELT_VERDICTS))


def belt_row(case: Case) -> Iterator[Judgement]:
    """Deflection at its force against the handbook's 1/64 of the span."""
    name = "belt_deflection_mm"
    reading, span_mm = case.spans.get(name), case.exact(["belt_span_mm"])
    if reading is None:
        return
    if not span_mm:
        yield cannot_missing("belt_deflection", name, ["belt_span_mm"])
        return
    expected = convert(span_mm[0] * DEFLECTION_PER_SPAN, "mm", reading.unit)
    yield in_bands(
        "belt_deflection", name, reading, belt_bands(case, expected),
        tuple(BELT_VERDICTS.values()), case.limits.basis("belt_ratio"),
        expected=expected, span=span_mm[0], ratio=reading.low / expected,
    )  # fmt: skip


def sheave_row(case: Case) -> Iterator[Judgement]:
    """Groove wear of a single-belt sheave, at most 1/32 in."""
    name = "sheave_wear_mm"
    reading = case.spans.get(name)
    if reading is not None:
        yield in_bands(
            "sheave_wear", name, reading.to("in"),
            up_to((case.limits.sheave_wear_in,), "within", "worn"), ("within", "act"),
            case.limits.basis("sheave_wear_in"),
        )  # fmt: skip
