"""Intervals for phones give the verdicts that judging gives, whatever the machine and figure."""

from __future__ import annotations

import math
from math import nextafter
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleet.models import Person
from fleet.plates import Feed, Plate
from fleet.quantities import MEASURED, QUANTITIES, SEEN, SPEED_CONTROLS, VERDICT_ORDER
from schedules.phone.bounds import is_asked, states_told
from schedules.phone.form import LEFT_OUT, OFFERED
from schedules.phone.limits import tell_derived, tell_reading
from tests.api.asking import V1, by_key
from tests.phone.reading import told_by, verdict_of
from visits.limits import Context, Reading, judge

PAIRS = [
    ("208-230/460", "3.3-3.2/1.6"), ("230", "2.8"), ("115/208-230", "7.2/3.6-3.4"), ("208-230", ""),
    ("", ""), ("460", "?"),
]  # fmt: skip
RATED = {"208-230/460": ["", "208-230", "460"], "115/208-230": ["", "115", "208-230"]}
READINGS = [q for q in MEASURED if q.name in OFFERED]
SAID = {
    "vibration": ("vibration_detector", ["rms", "peak"]),
    "pole": ("pole_meter", ["low_resistance", "multimeter"]),
    "amps": ("amps_place", ["", "line", "drive_output"]),
}


@st.composite
def motors(draw: Any) -> tuple[Plate, Feed]:
    """A plate with what feeds it, as they come: gaps, ranges, pairs, parts nobody could read."""
    volts, amps = draw(st.sampled_from(PAIRS))
    known = st.one_of(st.none(), st.sampled_from([0.25, 1.0, 5.0, 7.5]))
    plate = Plate(
        motor_type=draw(st.sampled_from(["three_phase", "psc", "ec", "other", ""])),
        phases=draw(st.sampled_from([None, 1, 3])),
        volts=volts, full_load_amps=amps, power_hp=draw(known),
        service_factor=draw(st.sampled_from([None, 1.0, 1.15, 1.4])),
        temperature_rise_c=draw(st.sampled_from([None, 40.0])),
        thermally_protected=draw(st.sampled_from([None, True])),
        capacitor_uf=draw(st.sampled_from([None, 10.0])),
        capacitor_tolerance_percent=draw(st.sampled_from([None, 5.0, 15.0])),
        drive=draw(st.sampled_from(["belt", "direct"])),
        mounting=draw(st.sampled_from(["", "rigid", "flexible"])),
        unreadable=frozenset(draw(st.sets(st.sampled_from(["service_factor"])))),
    )  # fmt: skip
    feed = Feed(
        control=draw(st.sampled_from(SPEED_CONTROLS)),
        connected_volts=draw(st.sampled_from(RATED.get(volts, [""]))),
        connected_confirmed=draw(st.booleans()),
        drive_input_volts=draw(st.sampled_from([None, 208.0])),
    )
    return plate, feed


def worst(readings: dict[str, Any], name: str, motor: tuple[Plate, Feed], **said: str) -> str:
    """What judging makes of it: the worst said of that reading."""
    told = judge(readings, plate=motor[0], feed=motor[1], context=Context(**said))
    own = [each.verdict for each in told if each.quantity == name]
    return max(own, key=VERDICT_ORDER.__getitem__, default="cannot_judge")


def qualifiers(quantity: Any, value: float) -> list[str]:
    """Those that can stand before a figure as a person types it; below nothing lies nothing."""
    if float(f"{value:.12g}") != value:
        return [""]
    return [each for each in quantity.qualifiers if each != "over" and (value or each != "<")]


def edges(field: dict[str, Any]) -> list[float]:
    """Every cut with what lies just beside it, and some plain figures."""
    bounds = [*field["bounds"], *(b for v in field.get("variants", ()) for b in v["bounds"])]
    cuts = {b["high"] for b in bounds if b["high"] is not None}
    beside = {
        value for c in cuts for value in (c * 0.9, c * 1.1, nextafter(c, 0), nextafter(c, 1e9))
    }
    return sorted({0.0, 0.01, 3.0, 219.0} | cuts | beside)


@given(motors(), st.sampled_from(READINGS), st.data())
def test_bounds_when_read_by_a_phone_then_the_verdict_of_judging(
    motor: tuple[Plate, Feed], quantity: Any, data: Any
) -> None:
    if not is_asked(quantity.name, *motor):
        return
    field = tell_reading(quantity.name, *motor, {})
    unit = data.draw(st.sampled_from([quantity.unit, *quantity.accepted]))
    name, choices = SAID.get(quantity.rule, ("", [""]))
    said = {name: data.draw(st.sampled_from(choices))} if name else {}
    for value in data.draw(st.lists(st.sampled_from(edges(field)), min_size=3, max_size=6)):
        for qualifier in qualifiers(quantity, value):
            reading = Reading(value, unit, qualifier)
            told = verdict_of(field, value, unit, quantity.unit, qualifier=qualifier, said=said)
            found = worst({quantity.name: reading}, quantity.name, motor, **said)
            assert told == found, (reading, said, field)


@settings(max_examples=40)
@given(motors(), st.sampled_from([q for q in READINGS if "over" in q.qualifiers]))
def test_over_range_when_read_by_a_phone_then_the_verdict_of_judging(
    motor: tuple[Plate, Feed], quantity: Any
) -> None:
    if is_asked(quantity.name, *motor):
        field = tell_reading(quantity.name, *motor, {})
        said = field.get("context", {})
        over = {quantity.name: Reading(None, "", "over")}
        assert field.get("over", "cannot_judge") == worst(over, quantity.name, motor, **said)


VOLTS = [92, 104, 115, 126, 166.4, 187, 200, 208, 215, 219, 220, 230, 242, 264.5, 287.5, 325, 368,
         437, 460, 483, 575]  # fmt: skip
LINES = ("volts_ab_v", "volts_bc_v", "volts_ca_v")


@settings(max_examples=300)
@given(
    motors(),
    st.sampled_from(["amps_a_a", "overload_setting_a"]),
    st.dictionaries(st.sampled_from(LINES), st.sampled_from(VOLTS), min_size=1),
    st.one_of(st.none(), st.sampled_from(VOLTS)),
    st.sampled_from(["", "<", ">"]),
    st.data(),
)
def test_reading_when_lines_are_read_then_the_verdict_of_judging(
    motor: tuple[Plate, Feed], name: str, lines: dict[str, float], all_v: float | None,
    sign: str, data: Any,
) -> None:  # fmt: skip
    """Some lines or all, alike or not, on plates of one rating or several, through drives too."""
    if not is_asked(name, *motor):
        return
    field, unsure = tell_reading(name, *motor, {}), "volts_ca_v"
    lines = {line: all_v or volts for line, volts in lines.items() if is_asked(line, *motor)}
    if all_v:
        lines = {line: all_v for line in LINES if is_asked(line, *motor)}
    typed: dict[str, Any] = {**lines}
    if sign and unsure in lines:  # a figure above or below which the line lay tells no rating
        typed[unsure] = Reading(lines.pop(unsure), "", sign)
    said = {}
    if name == "amps_a_a":
        said = {"amps_place": data.draw(st.sampled_from(["", "line", "drive_output"]))}
    for value in data.draw(st.lists(st.sampled_from(edges(field)), min_size=3, max_size=6)):
        told = verdict_of(field, value, "A", "A", said=said, beside=lines)
        assert told == worst({**typed, name: value}, name, motor, **said), (typed, value, said)


@settings(max_examples=60)
@given(motors(), st.sampled_from([0.0, 0.1, 0.3, 2.0]), st.data())
def test_pole_when_the_leads_were_read_too_then_the_verdict_of_judging(
    motor: tuple[Plate, Feed], lead: float, data: Any
) -> None:
    field = tell_reading("pole_1_ohm", *motor, {})
    cuts = sorted({*edges(field), 0.45, 0.5 + lead, 0.6 + lead, lead})
    said = {"pole_meter": data.draw(st.sampled_from(["low_resistance", "multimeter"]))}
    for value in data.draw(st.lists(st.sampled_from(cuts), min_size=3, max_size=6)):
        for sign in qualifiers(QUANTITIES["pole_1_ohm"], value):
            beside = {"lead_zero_ohm": lead}
            told = verdict_of(field, value, "ohm", "ohm", qualifier=sign, said=said, beside=beside)
            found = worst(
                {"pole_1_ohm": Reading(value, "", sign), **beside}, "pole_1_ohm", motor, **said
            )
            assert told == found, (value, sign, said, field)


WAYS = {
    "volts_unbalance": [(208, 208, 208), (208, 206, 202), (200, 208, 209), (230, 208, 190)],
    "amps_unbalance": [(3, 3, 3), (3, 2.6, 2.7), (3, 2, 2.1), (2.0, 2.2, 2.4)],
    "lost_phase": [(3, 3, 0.1), (3, 3, 0.4), (0, 4, 4)],
    "winding_unbalance": [(4, 4, 4), (4, 4.1, 4.3), (4, 4, 5)],
    "poles": [(0.01, 0.01, 0.012), (0.01, 0.02, 0.01)],
    "belt_deflection": [(10, 640), (5, 640), (16, 640), (25, 640), (7.5, 640)],
    "insulation": [
        (200, 40),
        (60, 20),
        (900, 5),
        (8, 25),
        (2, 60),
        (0.5, 40),
        (16.6, 22.5),
        (10.4, 29.4),
        (308, 23.9),
        (3.4, 46.7),
        (1000, 8.3),
    ],
}


def made(told: dict[str, Any], values: tuple[float, ...]) -> float:
    """One figure of several, as the contract says."""
    match told["how"]:
        case "greatest_difference_from_mean_percent":
            mean = sum(values) / len(values)
            return 100 * max(abs(value - mean) for value in values) / mean
        case "greatest_over_least":
            return max(values) / min(values)
        case "least_over_mean_of_others":
            least = min(values)
            return least / ((sum(values) - least) / 2)
        case "first_over_64th_of_second":
            return values[0] / (values[1] / 64)
    low, each = told["factors"]["from"], told["factors"]["each"]
    whole = math.floor(values[1])
    near, far = each[whole - low], each[min(whole + 1 - low, len(each) - 1)]
    return values[0] * near ** (1 - (values[1] - whole)) * far ** (values[1] - whole)


def judged_when(told: dict[str, Any], readings: dict[str, Any], motor: Any) -> list[Any]:
    """What judging says where all holds that the phone is told to ask for."""
    said = dict(told.get("when", {}))
    seen = {"running": said.pop("running")} if "running" in said else {}
    return judge({**readings, **seen}, plate=motor[0], feed=motor[1], context=Context(**said))


@settings(max_examples=40)
@given(motors())
def test_derived_when_several_are_read_then_the_verdict_of_judging(
    motor: tuple[Plate, Feed],
) -> None:
    offered = [name for name in OFFERED if is_asked(name, *motor)]
    for told in tell_derived(*motor, offered):
        for values in WAYS[told["code"]]:
            readings = dict(zip(told["fields"], values, strict=True))
            judged = judged_when(told, readings, motor)
            found = [each.verdict for each in judged if each.subject == told["code"]]
            wanted = found[0] if found else None
            assert told_by(told["bounds"], made(told, values)) == wanted, (told, values, judged)


@settings(max_examples=40)
@given(motors(), st.booleans())
def test_states_when_told_for_a_machine_then_the_verdict_of_judging(
    motor: tuple[Plate, Feed], slight: bool
) -> None:
    for quantity in SEEN:
        told = states_told(quantity.name, *motor, slight_before=slight)
        for state in quantity.states:
            context = Context(slight_before=slight)
            judged = judge({quantity.name: state.code}, plate=motor[0], feed=motor[1],
                           context=context)  # fmt: skip
            found = [each.verdict for each in judged if each.quantity == quantity.name]
            assert told.get(state.code, state.verdict) == (found[0] if found else None)


def test_form_when_it_is_told_then_every_quantity_is_in_one_step() -> None:
    assert sorted([*OFFERED, *LEFT_OUT]) == sorted(QUANTITIES)


SENT = [
    ("vibration_motor_radial_mm_s", 0.5, "in/s", {"vibration_detector": "peak"}),
    ("vibration_motor_radial_mm_s", 5.0, "mm/s", {"vibration_detector": "rms"}),
    ("volts_ab_v", 187.2, "V", {}), ("volts_ab_v", 254, "V", {}), ("amps_a_a", 3.4, "A", {}),
    ("grease_duct_high_um", 78, "mil", {}), ("overload_setting_a", 4.2, "A", {}),
    ("sheave_wear_mm", 0.9, "mm", {}), ("temperature_difference_k", 9, "F_difference", {}),
]  # fmt: skip


OPEN = {"motor_type": "three_phase", "volts": "208-230/460", "full_load_amps": "3.3-3.2/1.6",
        "power_hp": 1.0, "service_factor": 1.15}  # fmt: skip
DRIVEN = {"control": "drive", "drive_input_volts": 208.0, "connected_volts": "208-230"}
BESIDE = [
    ({}, 460.0, "amps_a_a", 1.7, {}, "watch"),
    ({}, 208.0, "amps_a_a", 1.7, {}, "within"),
    ({}, 480.0, "overload_setting_a", 2.1, {}, "act"),
    (DRIVEN, 210.0, "amps_a_a", 3.5, {"amps_place": "drive_output"}, "watch"),
    (DRIVEN, 190.0, "amps_a_a", 3.5, {"amps_place": "drive_output"}, "act"),
]  # fmt: skip
"""Worked by hand: 1.7 A is 1.06 of 1.6 A at 460 V and 0.52 of 3.3 A at 208 V; 2.1 A is 1.31 of 1.6
A, over 125 %; 3.5 A is 1.06 of 3.3 A, allowed with service factor only near 208 V (198 to 218 V).
"""


@pytest.mark.django_db
@pytest.mark.parametrize(("feed", "volts", "name", "value", "said", "wanted"), BESIDE)
def test_bounds_beside_lines_when_asked_of_the_api_then_the_same_verdict(
    feed: dict[str, Any], volts: float, name: str, value: float, said: dict[str, str], wanted: str,
    theo: Person,
) -> None:  # fmt: skip
    lines = dict.fromkeys(LINES, volts)
    body = {"readings": {**lines, name: value}, "context": said, "plate": OPEN, "feed": feed}
    answer = by_key(theo).post(f"{V1}/judge", body).json()
    judged = [each["verdict"] for each in answer["judgements"] if each["quantity"] == name]
    field = tell_reading(name, Plate(**OPEN), Feed(**feed), {})
    told = verdict_of(field, value, "A", "A", said=said, beside=lines)
    assert (judged, told) == ([wanted], wanted)


@pytest.mark.django_db
def test_bounds_when_asked_of_the_api_then_the_same_verdict(theo: Person) -> None:
    plate = {"motor_type": "three_phase", "volts": "208-230/460", "full_load_amps": "3.3-3.2/1.6",
             "power_hp": 1.0, "service_factor": 1.15, "drive": "belt"}  # fmt: skip
    feed = {"connected_volts": "208-230", "connected_confirmed": True}
    motor = Plate(**plate), Feed(**feed)
    client = by_key(theo)
    for name, value, unit, said in SENT:
        body = {"readings": {name: {"value": value, "unit": unit}}, "context": said,
                "plate": plate, "feed": feed}  # fmt: skip
        answer = client.post(f"{V1}/judge", body).json()
        canonical = QUANTITIES[name].unit
        told = verdict_of(tell_reading(name, *motor, {}), value, unit, canonical, said=said)
        assert answer["worst"] == told, (name, answer)
