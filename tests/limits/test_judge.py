"""Judging whole checks: what gives nothing or cannot be used, the worst, speed, properties."""

from __future__ import annotations

from timeit import repeat

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.plates import Feed, Plate
from fleet.quantities import MEASURED, MOTOR_TYPES, QUALIFIERS, SEEN, SPEED_CONTROLS, VERDICT_ORDER
from tests.limits.samples import FEED, PLATE, amps, code, judged, verdict, volts
from visits.limits import (
    CODES,
    Context,
    Reading,
    by_subject,
    judge,
    voltage_unbalance_percent,
    worst,
)
from visits.limits.readings import from_, span, up_to
from visits.limits.spread import percent_of, spread_of

FULL_CHECK = {
    **volts(231, 229, 230), **amps(2.8, 2.9, 2.7), "overload_setting_a": 4.0, "breaker_a": 15,
    "winding_ab_ohm": 4.0, "winding_bc_ohm": 4.0, "winding_ca_ohm": 4.1,
    "insulation_megohm": Reading(550, "megohm", ">"), "insulation_temperature_c": Reading(70, "F"),
    "pole_1_ohm": 0.02, "pole_2_ohm": 0.02, "pole_3_ohm": 0.021,
    "vibration_motor_radial_mm_s": Reading(0.2, "in/s"),
    "grease_duct_low_um": 300, "grease_duct_high_um": 400, "temperature_difference_k": 0.5,
    "running": "runs", "noise": "usual", "vibration_felt": "none", "motor_vents": "clear",
    "corrosion": "none", "hinge": "sound", "catch": "engaged", "cable": "sound",
    "switch_cover": "tight", "wheel": "clean", "grease_box": "fine", "guard": "on", "curb": "tight",
}  # fmt: skip
CONTEXT = Context(vibration_detector="peak", pole_meter="low_resistance")


def test_sound_fan_is_within_in_everything() -> None:
    found = judge(FULL_CHECK, plate=PLATE, feed=FEED, context=CONTEXT)
    assert {judgement.verdict for judgement in found} == {"within"}


def test_empty_check_gives_nothing() -> None:
    assert judge({}, plate=Plate(), feed=Feed()) == []


def test_check_of_empty_columns_gives_nothing() -> None:
    empty = dict.fromkeys(quantity.name for quantity in (*MEASURED, *SEEN))
    assert judge(empty, plate=PLATE, feed=FEED) == []  # type: ignore[arg-type]


def test_unknown_reading_is_refused_by_name() -> None:
    with pytest.raises(KeyError, match="volts_xy_v"):
        judge({"volts_xy_v": 1}, plate=PLATE, feed=FEED)


@pytest.mark.parametrize(
    "reading", [Reading(230, "A"), Reading(230, "furlong"), Reading(float("nan")), Reading("much")]
)
def test_unusable_reading_spoils_nothing_but_itself(reading: Reading) -> None:
    readings = {"volts_ab_v": reading, "hinge": "loose"}
    assert (code("volts", readings), verdict("hinge", readings)) == ("unusable", "watch")


def test_seen_item_not_asked_keeps_what_was_seen() -> None:
    found = judged("belt", {"belt": "worn"})
    assert found is not None
    assert found.args == {"because": "drive", "seen": "worn"}


def test_worst_of_each_item_is_kept() -> None:
    readings = {"wheel": "dirty", "setscrews": "found_loose", "hinge": "sound"}
    found = worst(judge(readings, plate=PLATE, feed=FEED))
    assert {item: j.verdict for item, j in found.items()} == {"wheel": "act", "hinge": "within"}


def test_worst_prefers_a_verdict_to_none() -> None:
    readings = {"pole_1_ohm": 0.2, "switch_cover": "tight"}
    found = worst(judge(readings, plate=PLATE, feed=FEED))
    assert found["switch"].subject == "switch_cover"


def test_full_check_is_judged_well_under_half_a_millisecond() -> None:
    # The quickest of many: what else the machine does meanwhile is not measured.
    quickest = min(repeat(lambda: judge(FULL_CHECK, plate=PLATE, feed=FEED), number=1, repeat=300))
    assert quickest < 0.0005


def readings() -> st.SearchStrategy[dict[str, Reading]]:
    measured = {
        quantity.name: st.builds(
            Reading,
            st.floats(max(quantity.low, 0), quantity.high),
            st.just(""),
            st.sampled_from(QUALIFIERS if len(quantity.qualifiers) > 1 else ("",)),
        )
        for quantity in MEASURED
    }
    seen = {q.name: st.builds(Reading, st.sampled_from(q.state_codes)) for q in SEEN}
    return st.fixed_dictionaries({}, optional=measured | seen)


plates = st.builds(
    Plate,
    motor_type=st.sampled_from(("", *MOTOR_TYPES)),
    phases=st.sampled_from((None, 1, 3)),
    volts=st.sampled_from(("", "?", "230", "208-230/460", "575", "nonsense")),
    full_load_amps=st.sampled_from(("", "3.2", "3.3-3.2/1.6", "?/1.6")),
    power_hp=st.sampled_from((None, 0.25, 1.0, 5.0, 7.5)),
    service_factor=st.sampled_from((None, 1.0, 1.15)),
    drive=st.sampled_from(("", "direct", "belt")),
    unreadable=st.frozensets(st.sampled_from(("volts", "service_factor", "power_hp"))),
)
feeds = st.builds(
    Feed,
    control=st.sampled_from(SPEED_CONTROLS),
    connected_volts=st.sampled_from(("", "230", "460")),
    connected_confirmed=st.booleans(),
    service_volts=st.sampled_from((None, 208.0, 240.0)),
)
contexts = st.builds(
    Context,
    amps_place=st.sampled_from(("", "line", "drive_output")),
    vibration_detector=st.sampled_from(("", "rms", "peak")),
    pole_meter=st.sampled_from(("", "low_resistance", "multimeter")),
    slight_before=st.booleans(),
)


@given(readings(), plates, feeds, contexts)
def test_any_check_is_judged_with_documented_codes_and_args(
    check: dict[str, Reading], plate: Plate, feed: Feed, context: Context
) -> None:
    found = judge(check, plate=plate, feed=feed, context=context)
    undocumented = [j for j in found if not set(j.args) <= {*CODES[j.code], "recheck_days"}]
    assert undocumented == []


@given(readings(), plates, feeds, contexts)
def test_order_of_readings_changes_no_verdict(
    check: dict[str, Reading], plate: Plate, feed: Feed, context: Context
) -> None:
    found = [
        {
            s: j.verdict
            for s, j in by_subject(judge(c, plate=plate, feed=feed, context=context)).items()
        }
        for c in (check, dict(reversed(check.items())))
    ]
    assert found[0] == found[1]


RISING = ("amps_a_a", "temperature_difference_k", "vibration_curb_mm_s", "grease_duct_high_um")


@given(st.sampled_from(RISING), st.floats(0, 5000), st.floats(0, 5000))
def test_greater_reading_is_never_better(name: str, one: float, other: float) -> None:
    low, high = sorted((one, other))
    subjects = {"amps_a_a": "amps", "temperature_difference_k": "temperature_difference"}
    subject = subjects.get(name, name.partition("_")[0])
    ranks = [
        VERDICT_ORDER[verdict(subject, {name: value}, vibration_detector="rms")]
        for value in (low, high)
    ]
    assert ranks[0] <= ranks[1]


@given(st.lists(st.floats(1, 1000), min_size=3, max_size=3), st.floats(0.1, 10))
def test_unbalance_does_not_depend_on_order_or_scale(lines: list[float], scale: float) -> None:
    scaled = [scale * line for line in reversed(lines)]
    expected = pytest.approx(voltage_unbalance_percent(lines), abs=1e-6)
    assert voltage_unbalance_percent(scaled) == expected


@given(st.lists(st.floats(0.1, 1000), min_size=3, max_size=3))
def test_unbalance_of_a_check_is_that_of_the_public_function(lines: list[float]) -> None:
    assert percent_of(lines) == pytest.approx(voltage_unbalance_percent(lines), abs=1e-9)


@given(
    st.floats(0.1, 50), st.floats(0.1, 50), st.floats(0.1, 50), st.sampled_from("<>"),
    st.floats(0.001, 0.999),
)  # fmt: skip
def test_spread_of_a_bounded_reading_covers_every_value_it_allows(
    one: float, other: float, bound: float, qualifier: str, share: float
) -> None:
    allowed = bound * share if qualifier == "<" else bound / share
    spread = spread_of([span(bound, "A", qualifier), span(one, "A", ""), span(other, "A", "")])
    assert spread is not None
    percent = percent_of([allowed, one, other])
    assert spread.percent.low * (1 - 1e-9) <= percent <= spread.percent.high * (1 + 1e-9)


@given(st.floats(0, 30), st.sampled_from("<>"), st.floats(0.001, 0.999), st.booleans())
def test_band_of_a_bounded_reading_is_that_of_every_value_it_allows(
    bound: float, qualifier: str, share: float, ends_below: bool
) -> None:
    bands = (up_to if ends_below else from_)((1.0, 5.0, 20.0), "a", "b", "c", "d")
    place = bands.place(span(bound, "", qualifier))
    allowed = bound * share if qualifier == "<" else bound + share
    assert place is None or bands.place(span(allowed, "", "")) == place
