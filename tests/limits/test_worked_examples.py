"""Worked examples printed by others; each names its source, W6 and W7 as published mistakes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.limits.samples import FEED, code, judged, verdict, volts
from visits.limits import (
    belt_deflection_in,
    fan_law,
    high_resistance,
    insulation_at_40c_megohm,
    overload_limit_a,
    severity_zone,
    unbalance_derating,
    voltage_unbalance_percent,
)


@pytest.mark.parametrize(
    ("lines", "printed", "tolerance"),
    [
        ((480, 476, 472), 0.84, 0.005),  # W1, industrialmonitordirect.com
        ((462, 463, 455), 1.087, 0.001),  # W2, pumpsandsystems.com
        ((203, 210, 212), 2.5, 0.1),  # W3, a motor protector's manual 201-575-AU p. 5, rounds down
        ((460, 467, 450), 1.96, 0.005),  # W4, tools.gera.services
        ((220, 216, 213), 1.8, 0.11),  # W5, an equipment maker's manual, rounds the mean to 216
    ],
)
def test_unbalance_of_printed_lines_matches(
    lines: tuple[float, ...], printed: float, tolerance: float
) -> None:
    assert voltage_unbalance_percent(lines) == pytest.approx(printed, abs=tolerance)


def test_unbalance_is_not_highest_minus_lowest() -> None:
    # W1 warns of the range method, which gives 1.68 %.
    assert voltage_unbalance_percent([480, 476, 472]) != pytest.approx(1.68, abs=0.1)


@pytest.mark.parametrize(
    ("lines", "misprint", "right"),
    [
        ((208, 206, 199), 2.3, 2.61),  # W6, voltdropcalc.com breaks its own formula
        ((400, 395, 388), 1.45, 1.61),  # W7, hemmotor.com takes 5.7 V for a deviation of 6.33 V
    ],
)
def test_unbalance_where_the_page_is_wrong_follows_the_formula(
    lines: tuple[float, ...], misprint: float, right: float
) -> None:
    found = voltage_unbalance_percent(lines)
    assert found == pytest.approx(right, abs=0.005)
    assert abs(found - misprint) > 0.1


def test_derated_power_of_an_unbalanced_motor_matches() -> None:
    # W4, tools.gera.services: 10 hp at 1.96 % gives 9.5 hp.
    assert 10 * unbalance_derating(1.96) == pytest.approx(9.5, abs=0.05)


def test_band_of_a_230_volt_motor_is_207_to_253() -> None:
    # W8, lorchem.com and the EASA text.
    found = judged("volts", volts(230, 230, 230))
    assert found is not None
    assert (found.args["low"], found.args["high"]) == pytest.approx((207, 253))


def test_zones_of_a_flexible_ninety_kilowatt_machine_change_at_printed_values() -> None:
    # W11, manualshive 1435396 p. 64: pre-alarm 4.5, trip 7.1 mm/s rms.
    assert severity_zone([4.49, 4.5, 7.1], [2.3, 4.5, 7.1]).tolist() == ["B", "C", "D"]


def test_zone_of_a_value_on_the_boundary_is_the_worse() -> None:
    # W12: an open benchmark says C for 4.5; the C/D boundary of group 2 rigid is 4.5.
    assert severity_zone(4.5, [1.4, 2.8, 4.5]) == "D"


def test_belt_deflection_of_printed_spans_matches() -> None:
    # W13, Goodyear guide, tpub training manual, manualsdump 26791 p. 13.
    assert belt_deflection_in([100, 32, 16]).tolist() == [1.5625, 0.5, 0.25]


def test_belt_deflection_between_printed_sheaves_matches() -> None:
    # W14, calcady.com: centres 24, sheaves 12 and 4 in have a span of 23.66 in.
    assert belt_deflection_in(23.66) == pytest.approx(0.370, abs=0.0005)


def test_fan_law_of_a_faster_fan_matches() -> None:
    # W18, theprimecalculator.com.
    law = fan_law(1200, 1500, 10_000, 2.0, 5)
    assert (law.flow, law.pressure, law.power) == pytest.approx((12_500, 3.125, 9.77), abs=0.005)


def test_fan_law_of_a_larger_motor_sheave_overloads_the_motor() -> None:
    # W19, navalfacilities.tpub.com mo114: 6.2 A, sheave 5 to 6 in, plate 9.0 A.
    assert fan_law(5, 6, power=6.2).power == pytest.approx(10.7, abs=0.05)


def test_fan_law_power_at_lower_speed_matches() -> None:
    # W20, hvac-talk: 1750 to 1250 rpm leaves 0.364; 10 hp at 0.8 of the flow 5.12 hp.
    assert fan_law([1750, 1], [1250, 0.8], power=[1, 10]).power == pytest.approx(
        [0.364, 5.12], abs=0.0005
    )


def test_insulation_at_seventy_degrees_is_eight_times() -> None:
    # W21, qinstar.in.
    assert insulation_at_40c_megohm(15, 70, "thermoplastic") == pytest.approx(120)


@pytest.mark.parametrize(
    ("cold", "warm"),
    [
        ((200, 20), (25, 50)),  # W22, insulationtesting.com
        ((150, 20), (75, 30)),  # W23, an insulation tester's manual
    ],
)
def test_insulation_of_one_winding_warm_and_cold_is_one_value(
    cold: tuple[float, float], warm: tuple[float, float]
) -> None:
    at_40 = [insulation_at_40c_megohm(*reading, "thermoplastic") for reading in (cold, warm)]
    assert at_40[0] == pytest.approx(at_40[1])


def test_thermosetting_factors_are_those_computed_from_the_formula() -> None:
    # IEEE 43-2013 6.3, constants from memory, own arithmetic at 20, 30, 50, 70 C.
    found = insulation_at_40c_megohm(1, [20, 30, 50, 70], "thermosetting")
    assert found == pytest.approx([0.76, 0.88, 1.52, 3.26], abs=0.005)


def test_thermosetting_correction_below_ten_degrees_is_not_given() -> None:
    assert np.isnan(insulation_at_40c_megohm(100, 9.9, "thermosetting"))


@pytest.mark.parametrize(
    ("ohms", "high"),
    [
        ((50, 60, 76), [False, False, True]),  # W24, a breaker maker's note
        ((130, 180, 150), [False, False, False]),  # W24
        ((20, 30, 30.1), [False, False, True]),  # W25, wiki.testguy.net: lowest 20, limit 30
    ],
)
def test_high_resistance_of_printed_contacts_matches(
    ohms: tuple[float, ...], high: list[bool]
) -> None:
    assert high_resistance(ohms, 1.5).tolist() == high


def test_overload_limits_of_printed_motors_match() -> None:
    # W27, calcady.com: 24 A at SF 1.15, 26 A at SF 1.0.
    assert overload_limit_a([24, 26], [1.15, 1.0]) == pytest.approx([30.0, 29.9])


def test_extra_heat_of_three_percent_unbalance_is_eighteen_percent() -> None:
    # W30, voltdropcalc.com: 2 x 3^2; the lines lie 6.9 V, 3 % of their mean, about 230 V.
    found = judged("volts_unbalance", volts(236.9, 230, 223.1))
    assert found is not None
    assert found.args["extra_heat_percent"] == pytest.approx(18, abs=0.01)


# Check values of common practice, no source: a 230/460 V plate with 3.2/1.6 A on its 230 V
# connection reading 202/200/200 V and 2.8 A, windings 4/4/4, a three-pole switch.
LOW_LINES = volts(202, 200, 200)


def test_low_lines_of_the_check_fan_are_nearly_balanced() -> None:
    assert voltage_unbalance_percent([202, 200, 200]) == pytest.approx(0.66, abs=0.005)


def test_low_lines_of_the_check_fan_are_below_207() -> None:
    found = judged("volts", LOW_LINES)
    assert found is not None
    assert (found.verdict, found.value, found.limit) == ("act", 200, 207)


def test_low_lines_on_a_208_volt_service_are_said_to_be() -> None:
    on_208 = replace(FEED, service_volts=208)
    assert code("volts", LOW_LINES, feed=on_208) == "volts.low_on_lower_service"


def test_current_of_the_check_fan_is_within() -> None:
    readings = LOW_LINES | {"amps_a_a": 2.8, "amps_b_a": 2.8, "amps_c_a": 2.8}
    assert verdict("amps", readings) == "within"


def test_windings_of_the_check_fan_are_alike() -> None:
    readings = {"winding_ab_ohm": 4, "winding_bc_ohm": 4, "winding_ca_ohm": 4}
    assert verdict("winding_unbalance", readings) == "within"
