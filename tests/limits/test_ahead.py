"""Limits told before a reading is taken: published figures, and the same verdicts as judging."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from fleet.plates import Feed, Plate
from visits.limits import SUBJECTS_AHEAD, Ahead, Context, Reading, judge, look_ahead
from visits.limits.readings import Bands, Span

MOTOR = Plate(
    motor_type="three_phase", phases=3, volts="230/460", full_load_amps="10/5", power_hp=7.5,
    service_factor=1.15, drive="belt",
)  # fmt: skip
CAPACITOR_MOTOR = Plate(
    motor_type="psc", phases=1, volts="115", full_load_amps="6", power_hp=0.5, service_factor=1.0,
    capacitor_uf=10, drive="direct",
)  # fmt: skip
FEED = Feed(connected_volts="230", connected_confirmed=True)
LOW_OHM = Context(pole_meter="low_resistance", vibration_detector="rms")
SPAN = {"belt_span_mm": Reading(16, "in")}


def ahead(
    *subjects: str, plate: Plate = MOTOR, feed: Feed = FEED, context: Context = LOW_OHM, **more: Any
) -> list[Ahead]:
    return look_ahead(
        subjects, plate=plate, feed=feed, known={**SPAN, **more.pop("known", {})}, context=context,
        **more,
    )  # fmt: skip


PEAK = {"context": Context(vibration_detector="peak")}
INCHES = {"units": {"belt_deflection_mm": "in"}}
PUBLISHED = [
    # NEMA MG-1 12.44.1: 10 % either side of the rating; a range plate from end to end
    ("volts", {}, (207, 253)),
    ("volts", {"plate": replace(MOTOR, volts="208-230"), "feed": Feed()}, (187.2, 253)),
    # NEMA MG-1 14.36 and figure 14-1: 1 % free of derating, above 5 % not to be run
    ("volts_unbalance", {}, (1, 2, 5)),
    # NFPA 70 430.32(A)(1): 125 % of full load with a service factor of 1.15, else 115 %
    ("overload", {}, (12.5,)),
    ("overload", {"plate": replace(MOTOR, service_factor=1.0)}, (11.5,)),
    # ISO 14694 table 5, BV-3 (above 3.7 kW), rigid: start-up, alarm, shutdown
    ("vibration_motor_radial", PEAK, (6.4, 10.2, 12.7)),
    ("vibration_motor_radial", {}, (4.5, 7.1, 9.0)),
    # IEEE 43-2013 table 3: 5 megohm for a random-wound motor below 1 kV, 100 for form-wound
    ("insulation", {}, (1, 5, 100)),
    # NFPA 96 12.6.1.1.3 and .4: 2000 um in the duct, 3175 on fan housing
    ("grease_duct", {}, (1500, 2000)),
    ("grease_housing", {}, (0.75 * 3175, 3175)),
    # NETA MTS 7.6 (1.5 x the lowest pole) and table 100.18 (similar parts)
    ("poles", {}, (1.5,)),
    ("temperature_difference", {}, (1, 4, 15)),
    # belt handbook: 1/64 in for each inch of a span of 16 in; three quarters to twice are ours
    ("belt_deflection", INCHES, (0.1875, 0.375, 0.5)),
    # common practice, no source: 6 % either side where the plate has no tolerance, watched to 10 %
    ("capacitor", {"plate": CAPACITOR_MOTOR}, (9.0, 9.4, 10.6)),
    # full load, service factor, 125 %: plate and our choice
    ("amps", {}, (10, 11.5, 12.5)),
]  # fmt: skip


@pytest.mark.parametrize(("subject", "told", "cuts"), PUBLISHED)
def test_limits_when_told_beforehand_then_the_published_ones(
    subject: str, told: dict[str, Any], cuts: tuple[float, ...]
) -> None:
    [found] = ahead(subject, **told)
    assert found.cuts == pytest.approx(cuts)


VOLTS = {"volts_ab_v": 230, "volts_bc_v": 230, "volts_ca_v": 230}
BESIDE: dict[str, dict[str, Any]] = {
    "amps": VOLTS, "insulation": {"insulation_temperature_c": 40}, "poles": {"pole_1_ohm": 1},
    "belt_deflection": SPAN,
}  # fmt: skip
"""What judging asks for beside the reading itself."""
ONE_READING = sorted(set(SUBJECTS_AHEAD) - {"volts_unbalance", "amps_unbalance",
                                            "winding_unbalance"})  # fmt: skip


@pytest.mark.parametrize("power_hp", [0.5, 7.5])
@pytest.mark.parametrize("subject", ONE_READING)
def test_limits_when_a_reading_is_near_one_then_judged_as_told(
    subject: str, power_hp: float
) -> None:
    plate = CAPACITOR_MOTOR if subject == "capacitor" else replace(MOTOR, power_hp=power_hp)
    feed = Feed() if subject == "capacitor" else FEED
    [found] = ahead(subject, plate=plate, feed=feed)
    bands = Bands(found.cuts, found.ends_below, found.verdicts)
    name, unit = found.quantities[0], found.unit
    if subject == "poles":
        name, unit = "pole_2_ohm", "ohm"
    for value in [cut * share for cut in found.cuts for share in (0.999, 1, 1.001)]:
        readings = {**BESIDE.get(subject, {}), name: Reading(value, unit)}
        judged = judge(readings, plate=plate, feed=feed, context=LOW_OHM)
        mine = [each for each in judged if each.quantity == name]
        place = bands.place(Span(value, value, unit, value))
        assert (value, [each.verdict for each in mine]) == (value, [found.verdicts[place or 0]])


@pytest.mark.parametrize(("subject", "names", "values"), [
    # three values around this mean, the first of them further out than the other two
    ("volts_unbalance", ("volts_ab_v", "volts_bc_v", "volts_ca_v"), 230),
    ("amps_unbalance", ("amps_a_a", "amps_b_a", "amps_c_a"), 6),
    ("winding_unbalance", ("winding_ab_ohm", "winding_bc_ohm", "winding_ca_ohm"), 3),
])  # fmt: skip
def test_spread_when_near_a_limit_then_judged_as_told(
    subject: str, names: tuple[str, ...], values: float
) -> None:
    [found] = ahead(subject)
    for at, cut in enumerate(found.cuts):
        for share, place in ((0.99, at), (1.01, at + 1)):
            apart = values * cut * share / 100
            lines = (values + apart, values - apart / 2, values - apart / 2)
            judged = judge(dict(zip(names, lines, strict=True)), plate=MOTOR, feed=FEED)
            mine = {each.subject: each.verdict for each in judged}
            assert mine[subject] == found.verdicts[place]


EC = Plate(motor_type="ec", volts="230", full_load_amps="3", power_hp=1, drive="direct")
DRIVEN = Feed(connected_volts="230", connected_confirmed=True, control="drive")


@pytest.mark.parametrize(("plate", "feed", "left_out"), [
    # rules: insulation never for EC motors or through drives; windings not through electronics
    (EC, Feed(), {"insulation", "winding_unbalance", "overload", "capacitor", "belt_deflection",
                  "sheave_wear", "volts_unbalance", "amps_unbalance"}),
    (MOTOR, DRIVEN, {"insulation", "winding_unbalance", "capacitor"}),
    (CAPACITOR_MOTOR, Feed(), {"volts_unbalance", "amps_unbalance", "winding_unbalance",
                               "belt_deflection", "sheave_wear"}),
])  # fmt: skip
def test_limits_when_not_asked_of_a_motor_then_left_out(
    plate: Plate, feed: Feed, left_out: set[str]
) -> None:
    told = {each.subject for each in ahead(*SUBJECTS_AHEAD, plate=plate, feed=feed)}
    missing = {name for name in set(SUBJECTS_AHEAD) - told if not name.startswith("vibration")}
    assert missing == left_out


@pytest.mark.parametrize(("subject", "told", "lacking"), [
    ("volts", {"feed": Feed()}, "connected_volts"),
    ("volts", {"feed": DRIVEN}, "drive_input_volts"),
    ("amps", {"plate": replace(MOTOR, full_load_amps="")}, "full_load_amps"),
    ("amps", {"plate": replace(MOTOR, unreadable=frozenset({"service_factor"}))}, "service_factor"),
    ("vibration_curb", {"plate": replace(MOTOR, power_hp=None)}, "power_hp"),
    ("belt_deflection", {"known": {"belt_span_mm": Reading(None)}}, "belt_span_mm"),
    ("capacitor", {"plate": replace(CAPACITOR_MOTOR, capacitor_uf=None)}, "capacitor_uf"),
])  # fmt: skip
def test_limits_when_something_is_not_on_record_then_named(
    subject: str, told: dict[str, Any], lacking: str
) -> None:
    [found] = ahead(subject, **told)
    assert found.cannot is not None
    assert (found.cuts, found.cannot.args["missing"]) == ((), (lacking,))


def test_volts_when_the_plate_does_not_add_up_then_said() -> None:
    [found] = ahead("volts", plate=replace(MOTOR, volts="230/460/x"))
    assert found.cannot is not None
    assert found.cannot.code == "plate_unusable"
