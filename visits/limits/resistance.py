"""Resistances with the power off: windings, insulation, closed poles; and the run capacitor."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from fleet.quantities import Verdict
from visits.limits.case import Case
from visits.limits.giving import cannot, cannot_missing, cannot_qualified, in_bands
from visits.limits.insulation import (
    THERMOPLASTIC,
    THERMOSETTING,
    THERMOSETTING_FROM_C,
    factor_to_40c,
)
from visits.limits.judgement import Judgement
from visits.limits.readings import Bands, Span, from_, up_to
from visits.limits.spread import spread_of

WINDINGS = ("winding_ab_ohm", "winding_bc_ohm", "winding_ca_ohm")
POLES = ("pole_1_ohm", "pole_2_ohm", "pole_3_ohm")
INSULATION, INSULATION_AT = "insulation_megohm", "insulation_temperature_c"
CAPACITOR = "capacitor_uf"


def winding_row(case: Case) -> Iterator[Judgement]:
    """Unbalance of the three windings of a motor measured at its own leads; open is a stop."""
    subject = "winding_unbalance"
    read = {name: reading for name in WINDINGS if (reading := case.canonical(name))}
    basis = case.limits.basis("winding_unbalance_percent")
    opened = next((name for name, reading in read.items() if reading.is_open_circuit), None)
    if not read:
        return
    first = next(iter(read))
    if case.feed.control in ("drive", "triac"):
        yield cannot(subject, f"{subject}.through_electronics", first, control=case.feed.control)
    elif opened:
        yield Judgement(subject, f"{subject}.open", "stop", "motor", opened, basis, unit="ohm")
    elif case.is_three_phase is False:
        yield cannot(subject, f"{subject}.not_comparable", first)
    elif len(read) == len(WINDINGS) and (spread := spread_of(list(read.values()))):
        yield in_bands(
            subject, spread.furthest(WINDINGS), spread.percent,
            up_to(case.limits.winding_unbalance_percent, "within", "some", "high"),
            ("within", "watch", "act"), basis, values=spread.values, mean=spread.mean,
        )  # fmt: skip


_INSULATION: tuple[Verdict, ...] = ("stop", "act", "watch", "within")
_GUIDANCE: tuple[Verdict, ...] = ("watch", "watch", "watch", "within")


def insulation_row(case: Case) -> Iterator[Judgement]:
    """Insulation at 40 C by the worse of both corrections; guidance only for small motors."""
    reading, at = case.canonical(INSULATION), case.canonical(INSULATION_AT)
    if reading is None:
        return
    if not case.plate.motor_type:
        yield cannot_missing("insulation", INSULATION, ["motor_type"])
    elif at is None:
        yield cannot_missing("insulation", INSULATION, [INSULATION_AT])
    else:
        yield _insulation(case, reading, at.low)


def insulation_bands(case: Case) -> tuple[Bands, tuple[Verdict, ...]]:
    """What insulation at 40 C is judged by; for small motors it is guidance only."""
    power_hp = case.plate.power_hp
    guidance = power_hp is not None and power_hp < case.limits.insulation_full_from_hp
    bands = from_(case.limits.insulation_megohm, "very_low", "low", "fair", "good")
    return bands, _GUIDANCE if guidance else _INSULATION


def _insulation(case: Case, reading: Span, temperature_c: float) -> Judgement:
    power_hp = case.plate.power_hp
    bands, verdicts = insulation_bands(case)
    plastic = factor_to_40c(temperature_c, THERMOPLASTIC)
    setting = None
    if temperature_c >= THERMOSETTING_FROM_C:
        setting = factor_to_40c(temperature_c, THERMOSETTING)
    worse = reading.times(plastic if setting is None else min(plastic, setting))
    judged = in_bands(
        "insulation", INSULATION, worse, bands, verdicts,
        case.limits.basis("insulation_megohm"),
        thermoplastic_megohm=_scaled(reading, plastic),
        thermosetting_megohm=_scaled(reading, setting),
        temperature_c=temperature_c, guidance=verdicts is _GUIDANCE,
    )  # fmt: skip
    if power_hp is None and judged.verdict in ("act", "stop"):
        unread = ["power_hp"] if case.plate.cannot_read("power_hp") else []
        return cannot_missing("insulation", INSULATION, ["power_hp"], unread)
    return judged


def _scaled(reading: Span, ratio: float | None) -> float | None:
    return None if ratio is None or reading.typed is None else reading.typed * ratio


def poles_row(case: Case) -> Iterator[Judgement]:
    """Closed poles of one switch: alike by a low-resistance meter, not above 0.5 ohm by another."""
    poles = {name: reading for name in POLES if (reading := case.canonical(name))}
    if not poles:
        return
    first = next(iter(poles))
    opened = next((name for name, reading in poles.items() if reading.is_open_circuit), None)
    if opened:
        yield _pole(case, "open", "stop", opened, poles, None)
    elif not case.context.pole_meter:
        yield cannot_missing("poles", first, ["pole_meter"])
    elif case.context.pole_meter == "multimeter":
        yield _by_multimeter(case, poles)
    elif len(poles) == 1:
        yield cannot("poles", "poles.nothing_to_compare", first)
    else:
        yield _by_low_resistance(case, poles)


def _pole(
    case: Case, code: str, verdict: Verdict, name: str, poles: dict[str, Span], limit: float | None
) -> Judgement:
    # an open pole is found by either meter, and the ratio says nothing of it
    meter = "pole_ratio" if code in ("alike", "high") else "pole_multimeter_ohm"
    typed = tuple(reading.typed for reading in poles.values())
    known = [value for value in typed if value is not None]
    return Judgement(
        "poles", f"poles.{code}", verdict, "switch", name, case.limits.basis(meter),
        poles[name].typed, "ohm", limit, {"poles": typed, "lowest": min(known, default=None)},
    )  # fmt: skip


def _by_low_resistance(case: Case, poles: dict[str, Span]) -> Judgement:
    """Highest over lowest pole, as far as the readings tell; 0 ohm shown has no ratio."""
    name = max(poles, key=lambda pole: poles[pole].low)
    least_high = min(reading.high for reading in poles.values())
    least_low = min(reading.low for reading in poles.values())
    greatest_low = poles[name].low
    greatest_high = max(reading.high for reading in poles.values())
    exact = all(reading.is_exact for reading in poles.values())
    low, high = _ratio(greatest_low, least_high), _ratio(greatest_high, least_low)
    qualifier = "" if exact else next(r.qualifier for r in poles.values() if r.qualifier)
    bands = up_to((case.limits.pole_ratio,), "alike", "high")
    place = bands.place(Span(low, high, "", None, qualifier))
    if place is None:
        return cannot_qualified("poles", name, poles[name])
    limit = case.limits.pole_ratio * least_low
    return _pole(case, bands.codes[place], "act" if place else "within", name, poles, limit)


def _ratio(greater: float, lesser: float) -> float:
    if lesser > 0:
        return greater / lesser
    return inf if greater > 0 else 1.0


def _by_multimeter(case: Case, poles: dict[str, Span]) -> Judgement:
    """A multimeter can show a bad pole, never a good one; unzeroed leads leave a gap between."""
    limit = case.limits.pole_multimeter_ohm
    zero = case.exact(["lead_zero_ohm"])
    lead = zero[0] if zero else 0.0
    name = max(poles, key=lambda pole: poles[pole].low)
    doubt = 0.0 if zero else case.limits.lead_at_most_ohm
    slack = limit * 1e-9
    if poles[name].low - lead > limit + doubt + slack or (
        not poles[name].is_exact and poles[name].low - lead >= limit + doubt - slack
    ):
        return _pole(case, "above", "act", name, poles, limit)
    highest = max(reading.high for reading in poles.values())
    if highest - lead <= limit + slack:
        return _pole(case, "not_above", "cannot_judge", name, poles, limit)
    if poles[name].is_exact and not zero:
        return cannot_missing("poles", name, ["lead_zero_ohm"])
    return cannot_qualified("poles", name, poles[name])


CAPACITOR_VERDICTS: dict[str, Verdict] = {
    "low": "act", "weak": "watch", "within": "within", "high": "act",
}  # fmt: skip


def capacitor_row(case: Case) -> Iterator[Judgement]:
    """Run capacitor against the plate's microfarads and tolerance; none left is open."""
    reading = case.canonical(CAPACITOR)
    if reading is None:
        return
    basis = case.limits.basis("capacitor_tolerance_percent")
    plate_uf = case.plate.capacitor_uf
    if reading.is_exact and reading.low == 0:
        yield Judgement(
            "capacitor", "capacitor.open", "stop", "capacitor", CAPACITOR, basis, 0.0, "uF"
        )
    elif plate_uf is None:
        unread = ["capacitor_uf"] if case.plate.cannot_read("capacitor_uf") else []
        yield cannot_missing("capacitor", CAPACITOR, ["capacitor_uf"], unread)
    else:
        yield _capacitor(case, reading, plate_uf)


def capacitor_bands(case: Case, plate_uf: float) -> Bands:
    """What microfarads are judged by."""
    tolerance = case.plate.capacitor_tolerance_percent
    if tolerance is None:
        tolerance = case.limits.capacitor_tolerance_percent
    lowest = max(tolerance, case.limits.capacitor_watch_percent)
    cuts = tuple(plate_uf * (1 + percent / 100) for percent in (-lowest, -tolerance, tolerance))
    return Bands(cuts, (False, False, True), tuple(CAPACITOR_VERDICTS))


def _capacitor(case: Case, reading: Span, plate_uf: float) -> Judgement:
    bands = capacitor_bands(case, plate_uf)
    percent = None if reading.typed is None else 100 * (reading.typed / plate_uf - 1)
    return in_bands(
        "capacitor", CAPACITOR, reading, bands, tuple(CAPACITOR_VERDICTS.values()),
        case.limits.basis("capacitor_tolerance_percent"), plate_uf=plate_uf, percent=percent,
    )  # fmt: skip
