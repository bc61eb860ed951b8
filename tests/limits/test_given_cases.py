"""The published cases of fixtures/cases/limits.json; each entry there carries its source."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from fleet.units import convert
from tests.limits.samples import verdict
from visits.limits import (
    fan_law,
    insulation_at_40c_megohm,
    minimum_insulation_megohm,
    overload_limit_a,
    resistance_unbalance_percent,
    severity_zone,
    table_full_load_a,
    unbalance_derating,
    velocity_mm_s_rms,
    voltage_unbalance_percent,
)

FILE = Path(__file__).parents[2] / "fixtures" / "cases" / "limits.json"
CASES = {case["id"]: case for case in json.loads(FILE.read_text(encoding="utf-8"))}


def case(name: str) -> tuple[dict[str, Any], dict[str, Any]]:
    return CASES[name]["inputs"], CASES[name]["expected"]


@pytest.mark.parametrize("name", ["EL-01", "EL-02"])
def test_voltage_unbalance_of_published_lines_matches(name: str) -> None:
    given, expected = case(name)
    percent = voltage_unbalance_percent(given["line_to_line_volts"])
    assert percent == pytest.approx(expected["unbalance_percent"], abs=0.005)


def test_derating_at_published_unbalance_is_about_095() -> None:
    _, expected = case("EL-01")
    factor = unbalance_derating(expected["unbalance_percent"])
    assert factor == pytest.approx(expected["derating_factor_about"], abs=0.005)


def test_insulation_of_one_winding_at_two_temperatures_corrects_to_one_value() -> None:
    given, expected = case("EL-07")
    readings = np.array(given["readings"])
    corrected = insulation_at_40c_megohm(readings[:, 0], readings[:, 1], "thermoplastic")
    assert corrected == pytest.approx(expected["corrected"], abs=1e-9)


def test_insulation_corrected_to_another_base_matches_the_manual() -> None:
    given, expected = case("EL-09")
    ((megohm, at_c),) = given["readings"]
    to_base = insulation_at_40c_megohm(1, given["base_C"], "thermoplastic")
    corrected = insulation_at_40c_megohm(megohm, at_c, "thermoplastic") / to_base
    assert corrected == pytest.approx(expected["corrected"][0], abs=1e-9)


def test_minimum_insulation_of_old_windings_is_kilovolts_plus_one() -> None:
    given, expected = case("EL-11")
    volts = 1000 * np.array(given["rated_kV"])
    assert minimum_insulation_megohm(volts, "random", True) == pytest.approx(expected["kV_plus_1"])


def test_minimum_insulation_of_random_windings_is_five_megohm() -> None:
    given, expected = case("EL-11")
    volts = 1000 * np.array(given["rated_kV"][:2])
    assert (minimum_insulation_megohm(volts) == expected["minimum_random_wound_below_1kV"]).all()


@pytest.mark.parametrize(
    ("hard_start", "key"), [(False, "limit_A"), (True, "max_if_cannot_start_A")]
)
def test_overload_limit_of_published_motors_matches(hard_start: bool, key: str) -> None:
    given, expected = case("EL-12")
    full_load_a = [motor["nameplate_A"] for motor in given["motors"]]
    factors = [motor["service_factor"] for motor in given["motors"]]
    limit = overload_limit_a(full_load_a, factors, hard_start=hard_start)
    assert limit == pytest.approx(expected[key], abs=0.05)


def test_full_load_table_rows_are_the_published_ones() -> None:
    given, expected = case("EL-15")
    table = {size: list(table_full_load_a(float(size), given["volts"], 3)) for size in given["hp"]}
    assert table == expected["amperes"]


def test_full_load_table_halves_from_230_to_460_volts() -> None:
    given, expected = case("EL-17")
    sizes = [1, 5, 10, 20]
    found = table_full_load_a(sizes, [[230], [460]], 3).tolist()
    assert found == [given["current_at_230"], expected["current_at_460"]]


def test_winding_unbalance_of_published_ohms_matches() -> None:
    given, expected = case("EL-19")
    percent = resistance_unbalance_percent(given["ohms"])
    assert percent == pytest.approx(expected["unbalance_percent"], abs=1e-6)


def test_velocity_from_inches_of_the_same_detector_is_254_times() -> None:
    given, expected = case("VI-01")
    found = velocity_mm_s_rms(given["in_per_s_peak"], "in/s", "rms")
    assert found == pytest.approx(expected["mm_per_s_peak"], abs=0.005)


def test_velocity_to_inches_of_the_same_detector_matches() -> None:
    given, expected = case("VI-01")
    found = convert(given["mm_per_s_peak"][0], "mm/s", "in/s")
    assert found == pytest.approx(expected["in_per_s_peak"][0], abs=1e-6)


def test_rms_of_a_sine_matches_its_peak() -> None:
    given, expected = case("VI-05")
    found = velocity_mm_s_rms(expected["in_per_s_peak"], "in/s", "peak")
    assert found == pytest.approx(given["mm_per_s_rms"], rel=1e-9)


def test_severity_zones_of_group_two_rigid_match() -> None:
    given, expected = case("VI-06")
    boundaries = given["boundaries_mm_s_rms"]["iso10816-3 group 2 rigid"]
    assert severity_zone(given["values"], boundaries).tolist() == expected["zones"]


def test_fan_laws_of_a_slower_fan_match() -> None:
    given, expected = case("FA-01")
    law = fan_law(*given["rpm"], given["cfm"], given["static_in_wg"], given["bhp"])
    assert (law.flow, law.pressure, law.power) == pytest.approx(
        (expected["cfm"], expected["static_in_wg"], expected["bhp"]), abs=0.005
    )


def test_fan_power_goes_with_the_cube_of_flow() -> None:
    given, expected = case("FA-03")
    assert fan_law(*given["cfm"], power=given["bhp"]).power == pytest.approx(
        expected["bhp"], abs=1e-4
    )


def test_duct_needs_cleaning_from_the_published_depth() -> None:
    given, expected = case("NF-03")
    due = [verdict("grease", {"grease_duct_high_um": um}) == "act" for um in given["micron"]]
    assert due == expected["needs_cleaning"]


def test_grease_depths_in_inches_match() -> None:
    given, expected = case("NF-03")
    assert [convert(um, "um", "in") for um in given["micron"]] == pytest.approx(expected["inches"])
