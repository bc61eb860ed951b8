"""Windings, insulation, closed poles and capacitors: each boundary and each way to be unable."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fleet.plates import Plate
from tests.limits.samples import (
    EC_PLATE,
    FEED,
    PLATE,
    PSC_PLATE,
    code,
    judged,
    poles,
    verdict,
    windings,
)
from visits.limits import Reading, insulation_at_40c_megohm, minimum_insulation_megohm

OPEN = Reading(None, "ohm", "over")
SMALL_PLATE = replace(PLATE, power_hp=0.99)
CAPACITORS_UF = [(PSC_PLATE.capacitor_uf or 0) * share for share in (0.8, 0.92, 1.0, 1.2)]


@pytest.mark.parametrize(
    ("percent", "expected"),
    [(1.9, "within"), (2, "within"), (2.1, "watch"), (4.9, "watch"), (5, "watch"), (5.1, "act")],
)
def test_winding_unbalance_at_each_boundary(percent: float, expected: str) -> None:
    apart = 4 * percent / 100
    assert verdict("winding_unbalance", windings(4 + apart, 4, 4 - apart)) == expected


def test_winding_open_is_a_stop_even_alone() -> None:
    assert verdict("winding_unbalance", windings(4, OPEN)) == "stop"


@pytest.mark.parametrize("control", ["drive", "triac"])
def test_windings_through_electronics_cannot_be_judged(control: str) -> None:
    feed = replace(FEED, control=control)
    expected = "winding_unbalance.through_electronics"
    assert code("winding_unbalance", windings(4, OPEN, 4), feed=feed) == expected


def test_windings_of_a_single_phase_motor_are_unlike_by_design() -> None:
    found = code("winding_unbalance", windings(4, 9, 13), plate=PSC_PLATE)
    assert found == "winding_unbalance.not_comparable"


def test_windings_of_an_electronic_motor_are_not_asked() -> None:
    assert code("winding_unbalance", windings(4, 4, 4), plate=EC_PLATE) == "not_asked"


def test_two_windings_alone_say_nothing() -> None:
    assert judged("winding_unbalance", windings(4, 4)) is None


def insulated(megohm: float | Reading, at_c: float = 40.0) -> dict[str, float | Reading]:
    return {"insulation_megohm": megohm, "insulation_temperature_c": at_c}


@pytest.mark.parametrize(
    ("megohm", "expected"),
    [(0.99, "stop"), (1, "act"), (1.01, "act"), (4.99, "act"), (5, "watch"), (5.01, "watch"),
     (99.9, "watch"), (100, "within"), (100.1, "within")],
)  # fmt: skip
def test_insulation_at_each_boundary(megohm: float, expected: str) -> None:
    assert verdict("insulation", insulated(megohm)) == expected


def test_insulation_names_the_limit_it_falls_short_of() -> None:
    found = [judged("insulation", insulated(megohm)) for megohm in (0.5, 4, 50, 200)]
    assert [each and each.limit for each in found] == [1, 5, 100, 100]


def test_capacitor_names_the_limit_it_passed() -> None:
    found = [judged("capacitor", {"capacitor_uf": uf}, plate=PSC_PLATE) for uf in CAPACITORS_UF]
    share = [each and each.limit and each.limit / (PSC_PLATE.capacitor_uf or 1) for each in found]
    assert share == pytest.approx([0.90, 0.94, 0.94, 1.06])


@pytest.mark.parametrize(
    ("megohm", "expected"), [(0.5, "watch"), (3, "watch"), (50, "watch"), (100, "within")]
)
def test_insulation_of_a_motor_under_one_horsepower_is_guidance(
    megohm: float, expected: str
) -> None:
    found = judged("insulation", insulated(megohm), plate=SMALL_PLATE)
    assert found is not None
    assert (found.verdict, found.args["guidance"]) == (expected, True)


@pytest.mark.parametrize(
    ("megohm", "expected"), [(0.5, "cannot_judge"), (50, "watch"), (100, "within")]
)
def test_insulation_of_a_motor_of_unknown_power_counts_where_power_does_not(
    megohm: float, expected: str
) -> None:
    plate = replace(PLATE, power_hp=None)
    assert verdict("insulation", insulated(megohm), plate=plate) == expected


@pytest.mark.parametrize(
    ("at_c", "expected"),
    [(20, "watch"),  # 200 Mohm: thermoplastic 50, thermosetting 152
     (50, "within"),  # 400 and 304
     (70, "within")],
)  # fmt: skip
def test_insulation_takes_the_worse_of_both_corrections(at_c: float, expected: str) -> None:
    assert verdict("insulation", insulated(200, at_c)) == expected


def test_insulation_warm_is_worse_by_the_thermosetting_correction() -> None:
    # 20 Mohm at 70 C: thermoplastic 160, thermosetting 65.
    assert verdict("insulation", insulated(20, 70)) == "watch"


def test_insulation_below_ten_degrees_has_the_thermoplastic_correction_only() -> None:
    found = judged("insulation", insulated(1600, 0))
    assert found is not None
    assert (found.verdict, found.args["thermosetting_megohm"]) == ("within", None)


def test_insulation_shows_both_corrections() -> None:
    found = judged("insulation", insulated(200, 20))
    assert found is not None
    assert found.args["thermoplastic_megohm"] == pytest.approx(50)
    assert found.args["thermosetting_megohm"] == pytest.approx(152.4, abs=0.1)


def test_insulation_without_temperature_says_so() -> None:
    found = judged("insulation", {"insulation_megohm": 200})
    assert found is not None
    assert found.args["missing"] == ("insulation_temperature_c",)


@pytest.mark.parametrize(
    ("reading", "expected"),
    [(Reading(550, "megohm", ">"), "within"), (Reading(50, "megohm", ">"), "cannot_judge"),
     (Reading(0.5, "megohm", "<"), "stop"), (Reading(500, "kohm"), "stop"),
     (Reading(2.2, "gohm", "over"), "within"), (Reading(None, "", "over"), "cannot_judge")],
)  # fmt: skip
def test_insulation_beyond_the_meters_range_counts_where_it_can(
    reading: Reading, expected: str
) -> None:
    assert verdict("insulation", insulated(reading)) == expected


def test_insulation_is_never_asked_of_electronics() -> None:
    on_drive = replace(FEED, control="drive")
    found = {
        code("insulation", insulated(1), plate=EC_PLATE),
        code("insulation", insulated(1), feed=on_drive),
    }
    assert found == {"not_asked"}


def test_minimum_insulation_of_new_form_windings_is_100_from_one_kilovolt() -> None:
    # IEEE 43-2013 Table 3, 5 and 100 from memory.
    assert minimum_insulation_megohm([999, 1000, 4160], "form").tolist() == [5, 100, 100]


def test_minimum_insulation_of_field_windings_is_kilovolts_plus_one() -> None:
    assert minimum_insulation_megohm(460, "field") == pytest.approx(1.46)


def test_minimum_insulation_of_an_unknown_winding_is_refused() -> None:
    with pytest.raises(ValueError, match="'round' is not known; write one of random"):
        minimum_insulation_megohm(460, "round")


def test_insulation_correction_of_an_unknown_insulation_is_refused() -> None:
    with pytest.raises(ValueError, match="write thermoplastic or thermosetting"):
        insulation_at_40c_megohm(100, 20, "paper")


LOW = {"pole_meter": "low_resistance"}
MULTIMETER = {"pole_meter": "multimeter"}


@pytest.mark.parametrize(
    ("highest", "expected"), [(0.0299, "within"), (0.03, "within"), (0.0301, "act")]
)
def test_pole_by_low_resistance_meter_at_one_and_a_half_of_the_lowest(
    highest: float, expected: str
) -> None:
    assert verdict("poles", poles(0.02, highest, 0.025), **LOW) == expected


def test_three_pole_switch_with_one_low_one_high_one_open_is_bad() -> None:
    # Common practice, no source.
    found = judged("poles", poles(0.02, 12, OPEN), **LOW)
    assert found is not None
    assert (found.verdict, found.quantity) == ("stop", "pole_3_ohm")


def test_open_pole_is_a_stop_whatever_the_meter() -> None:
    assert [verdict("poles", poles(OPEN), pole_meter=meter) for meter in ("", "multimeter")] == [
        "stop", "stop",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("ohm", "lead", "expected"),
    [(0.5, 0.0, "poles.not_above"), (0.51, 0.0, "poles.above"), (0.8, 0.3, "poles.not_above"),
     (0.81, 0.3, "poles.above"), (0.4, None, "poles.not_above"), (0.7, None, "missing"),
     (1.5, None, "missing"), (1.6, None, "poles.above")],
)  # fmt: skip
def test_pole_by_multimeter_after_the_leads_are_taken_off(
    ohm: float, lead: float | None, expected: str
) -> None:
    assert code("poles", poles(0.1, ohm) | {"lead_zero_ohm": lead}, **MULTIMETER) == expected


def test_pole_not_above_half_an_ohm_by_multimeter_is_no_pass() -> None:
    assert verdict("poles", poles(0.2, 0.2, 0.2), **MULTIMETER) == "cannot_judge"


def test_pole_without_the_kind_of_meter_cannot_be_judged() -> None:
    found = judged("poles", poles(0.02, 0.02, 0.02))
    assert found is not None
    assert found.args["missing"] == ("pole_meter",)


def test_single_pole_has_nothing_to_compare_with() -> None:
    assert code("poles", poles(0.02), **LOW) == "poles.nothing_to_compare"


@pytest.mark.parametrize(
    ("readings", "expected"),
    [(poles(Reading(0.01, "", "<"), 0.02), "act"),  # at least twice whatever the first is
     (poles(Reading(0.01, "", "<"), 0.012), "cannot_judge"),
     (poles(0.02, Reading(0.03, "", ">")), "act"),
     (poles(0.02, Reading(0.02, "", ">")), "cannot_judge"),
     (poles(Reading(20, "mohm"), Reading(31, "mohm")), "act")],
)  # fmt: skip
def test_pole_read_against_a_bound_counts_where_it_can(
    readings: dict[str, float | Reading], expected: str
) -> None:
    assert verdict("poles", readings, **LOW) == expected


@pytest.mark.parametrize(
    ("uf", "expected"),
    [(8.99, "act"), (9.0, "watch"), (9.39, "watch"), (9.4, "within"), (10, "within"),
     (10.6, "within"), (10.61, "act"), (0, "stop")],
)  # fmt: skip
def test_capacitor_by_the_usual_tolerance_at_each_boundary(uf: float, expected: str) -> None:
    assert verdict("capacitor", {"capacitor_uf": uf}, plate=PSC_PLATE) == expected


@pytest.mark.parametrize(
    ("tolerance", "uf", "expected"),
    [(3.0, 9.7, "within"), (3.0, 9.6, "watch"), (3.0, 10.4, "act"), (10.0, 9.0, "within"),
     (10.0, 8.9, "act"), (15.0, 8.6, "within"), (15.0, 8.4, "act")],
)  # fmt: skip
def test_capacitor_by_its_plates_own_tolerance(tolerance: float, uf: float, expected: str) -> None:
    plate = replace(PSC_PLATE, capacitor_tolerance_percent=tolerance)
    assert verdict("capacitor", {"capacitor_uf": uf}, plate=plate) == expected


def test_capacitor_without_microfarads_on_the_plate_cannot_be_judged() -> None:
    plate = replace(PSC_PLATE, capacitor_uf=None, unreadable=frozenset({"capacitor_uf"}))
    found = judged("capacitor", {"capacitor_uf": 9}, plate=plate)
    assert found is not None
    assert found.args == {"missing": ("capacitor_uf",), "unreadable": ("capacitor_uf",)}


def test_capacitor_of_a_three_phase_motor_is_not_asked() -> None:
    assert code("capacitor", {"capacitor_uf": 9}) == "not_asked"


def test_bulged_capacitor_is_a_stop() -> None:
    assert verdict("capacitor_case", {"capacitor_case": "bulged"}, plate=PSC_PLATE) == "stop"


def test_capacitor_case_of_a_motor_without_one_is_not_asked() -> None:
    assert code("capacitor_case", {"capacitor_case": "bulged"}) == "not_asked"


def test_insulation_of_a_motor_of_unknown_type_is_not_judged() -> None:
    found = judged("insulation", insulated(200), plate=Plate(power_hp=1.0))
    assert found is not None
    assert found.args["missing"] == ("motor_type",)
