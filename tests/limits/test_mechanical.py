"""Vibration, grease, belts and sheaves: each boundary, in the unit as typed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.limits.samples import BELT_PLATE, PLATE, code, judged, verdict
from visits.limits import DEFAULT_LIMITS, Reading, velocity_mm_s_rms

POINT = "vibration_motor_radial_mm_s"
BIG_PLATE = replace(PLATE, power_hp=7.5)
FLEXIBLE = replace(PLATE, mounting="flexible")

# ISO 14694 Table 5 / AMCA 204 Table 6-3: BV-3 confirmed in mm/s, BV-2 and inches from memory;
# BV-2 has no shutdown number, 1.25 x alarm is our choice.
COLUMNS = [
    (PLATE, "mm/s", "peak", 7.6, 12.7, 15.875),
    (PLATE, "mm/s", "rms", 5.6, 9.0, 11.25),
    (PLATE, "in/s", "peak", 0.30, 0.50, 0.625),
    (FLEXIBLE, "mm/s", "peak", 12.7, 19.1, 23.875),
    (FLEXIBLE, "mm/s", "rms", 9.0, 14.0, 17.5),
    (FLEXIBLE, "in/s", "peak", 0.50, 0.75, 0.9375),
    (BIG_PLATE, "mm/s", "peak", 6.4, 10.2, 12.7),
    (BIG_PLATE, "mm/s", "rms", 4.5, 7.1, 9.0),
    (BIG_PLATE, "in/s", "peak", 0.25, 0.40, 0.50),
    (replace(BIG_PLATE, mounting="flexible"), "mm/s", "peak", 8.8, 16.5, 17.8),
    (replace(BIG_PLATE, mounting="flexible"), "mm/s", "rms", 6.3, 11.8, 12.5),
    (replace(BIG_PLATE, mounting="flexible"), "in/s", "peak", 0.35, 0.65, 0.70),
]


@pytest.mark.parametrize(("plate", "unit", "detector", "start", "alarm", "stop"), COLUMNS)
def test_vibration_at_just_below_and_above_each_limit(
    plate: object, unit: str, detector: str, start: float, alarm: float, stop: float
) -> None:
    typed = [limit * near for limit in (start, alarm, stop) for near in (0.999, 1.0, 1.001)]
    found = [
        verdict("vibration", {POINT: Reading(v, unit)}, plate=plate, vibration_detector=detector)
        for v in typed
    ]
    assert found == ["within", *["watch"] * 3, *["act"] * 3, *["stop"] * 2]


@pytest.mark.parametrize(
    ("hp", "category"), [(4.99, "BV-2"), (5.0, "BV-2"), (5.01, "BV-3"), (0.1, "BV-2")]
)
def test_vibration_category_changes_above_five_horsepower(hp: float, category: str) -> None:
    assert DEFAULT_LIMITS.vibration_category(hp) == category


def test_vibration_in_inches_rms_has_no_column() -> None:
    found = code("vibration", {POINT: Reading(0.2, "in/s")}, vibration_detector="rms")
    assert found == "vibration.no_column"


@pytest.mark.parametrize(
    ("detector", "power_hp", "missing"),
    [("", 1.0, ("vibration_detector",)), ("rms", None, ("power_hp",)),
     ("", None, ("vibration_detector", "power_hp"))],
)  # fmt: skip
def test_vibration_without_facts_says_what_is_missing(
    detector: str, power_hp: float | None, missing: tuple[str, ...]
) -> None:
    plate = replace(PLATE, power_hp=power_hp)
    found = judged("vibration", {POINT: 3.0}, plate=plate, vibration_detector=detector)
    assert found is not None
    assert found.args["missing"] == missing


def test_vibration_of_several_points_counts_by_the_worst() -> None:
    readings = {POINT: 3.0, "vibration_curb_mm_s": 9.5, "vibration_motor_axial_mm_s": 6.0}
    found = judged("vibration", readings, vibration_detector="rms")
    assert found is not None
    assert (found.verdict, found.quantity) == ("act", "vibration_curb_mm_s")


@pytest.mark.parametrize(
    ("reading", "expected"),
    [(Reading(12, "mm/s", ">"), "stop"), (Reading(9, "mm/s", ">"), "cannot_judge"),
     (Reading(1, "mm/s", "<"), "within"), (Reading(5.6, "mm/s", "<"), "within")],
)  # fmt: skip
def test_vibration_read_against_a_bound_counts_where_it_can(
    reading: Reading, expected: str
) -> None:
    assert verdict("vibration", {POINT: reading}, vibration_detector="rms") == expected


def test_vibration_from_memory_says_so() -> None:
    standings = [
        getattr(judged("vibration", {POINT: 3.0}, plate=p, vibration_detector="rms"), "basis", None)
        for p in (PLATE, BIG_PLATE)
    ]
    assert [basis.standing for basis in standings if basis] == ["from memory", "confirmed"]


def test_vibration_stop_of_a_category_without_one_is_called_our_choice() -> None:
    # ISO 14694 gives BV-2 no shutdown number (one source, from memory): 1.25 x alarm is ours
    found = judged("vibration", {POINT: 12.0}, vibration_detector="rms")
    assert (found.verdict, found.basis and found.basis.standing) == ("stop", "our choice")


@pytest.mark.parametrize("hertz", [None, 30.0, 60.0])
def test_vibration_verdict_does_not_depend_on_the_named_speed(hertz: float | None) -> None:
    found = verdict("vibration", {POINT: 9.0}, vibration_detector="rms", vibration_hz=hertz)
    assert found == "act"


def test_velocity_of_an_unknown_detector_is_refused() -> None:
    with pytest.raises(ValueError, match="'average' is not known; write rms or peak"):
        velocity_mm_s_rms(3, "mm/s", "average")


@pytest.mark.parametrize(
    ("place", "unit", "depth", "expected"),
    [("duct", "um", 1499, "within"), ("duct", "um", 1500, "watch"), ("duct", "um", 1999, "watch"),
     ("duct", "um", 2000, "act"), ("duct", "um", 2001, "act"), ("hood", "um", 2000, "act"),
     ("housing", "um", 2381, "within"), ("housing", "um", 2381.25, "watch"),
     ("housing", "um", 3174, "watch"), ("housing", "um", 3175, "act"),
     ("duct", "in", 0.0584, "within"), ("duct", "in", 0.0585, "watch"),
     ("duct", "in", 0.077, "watch"),
     ("duct", "in", 0.078, "act"), ("duct", "mil", 78, "act"), ("housing", "in", 0.124, "watch"),
     ("housing", "in", 0.125, "act"), ("duct", "mm", 1.99, "watch"), ("duct", "mm", 2.0, "act")],
)  # fmt: skip
def test_grease_at_each_boundary_in_its_own_unit(
    place: str, unit: str, depth: float, expected: str
) -> None:
    # NFPA 96 12.6.1.1 (2021): duct 2000 um = 0.078 in as printed; housing 3175 um = 0.125 in.
    assert verdict("grease", {f"grease_{place}_high_um": Reading(depth, unit)}) == expected


def test_grease_counts_by_the_upper_end_of_the_comb() -> None:
    readings = {"grease_duct_low_um": 1800, "grease_duct_high_um": 2000}
    assert verdict("grease", readings) == "act"


@pytest.mark.parametrize(("low_um", "expected"), [(1900, "cannot_judge"), (2000, "act")])
def test_grease_with_only_the_lower_end_known_counts_where_it_can(
    low_um: float, expected: str
) -> None:
    assert verdict("grease", {"grease_duct_low_um": low_um}) == expected


def test_grease_of_several_places_counts_by_the_worst() -> None:
    found = judged("grease", {"grease_duct_high_um": 2100, "grease_housing_high_um": 2600})
    assert found is not None
    assert (found.verdict, found.args["place"]) == ("act", "duct")


@pytest.mark.parametrize(
    ("deflection_in", "expected"),
    [(0.374, "act"), (0.375, "within"), (0.5, "within"), (0.75, "within"), (0.751, "watch"),
     (1.0, "watch"), (1.01, "act")],
)  # fmt: skip
def test_belt_deflection_of_a_32_inch_span_at_each_boundary(
    deflection_in: float, expected: str
) -> None:
    # The handbook's figure (RMA/ARPM) is 1/2 in; the band around it is our choice.
    readings = {
        "belt_deflection_mm": Reading(deflection_in, "in"), "belt_span_mm": Reading(32, "in"),
    }  # fmt: skip
    assert verdict("belt_deflection", readings, plate=BELT_PLATE) == expected


def test_belt_deflection_in_mixed_units_is_one_ratio() -> None:
    readings = {"belt_deflection_mm": 12.7, "belt_span_mm": Reading(32, "in")}
    found = judged("belt_deflection", readings, plate=BELT_PLATE)
    assert found is not None
    assert found.args["ratio"] == pytest.approx(1.0)


def test_belt_deflection_without_span_cannot_be_judged() -> None:
    found = judged("belt_deflection", {"belt_deflection_mm": 12.7}, plate=BELT_PLATE)
    assert found is not None
    assert found.args["missing"] == ("belt_span_mm",)


@pytest.mark.parametrize("name", ["belt_deflection_mm", "sheave_wear_mm", "belt"])
def test_belt_of_a_direct_drive_is_not_asked(name: str) -> None:
    subject = name.removesuffix("_mm")
    assert code(subject, {name: "sound" if name == "belt" else 1.0}) == "not_asked"


@pytest.mark.parametrize(
    ("wear", "unit", "expected"),
    [(0.031, "in", "within"), (1 / 32, "in", "within"), (0.032, "in", "act"),
     (0.79375, "mm", "within"), (0.8, "mm", "act")],
)  # fmt: skip
def test_sheave_wear_at_its_limit(wear: float, unit: str, expected: str) -> None:
    # Belt handbook: 1/32 in for single belts.
    readings = {"sheave_wear_mm": Reading(wear, unit)}
    assert verdict("sheave_wear", readings, plate=BELT_PLATE) == expected
