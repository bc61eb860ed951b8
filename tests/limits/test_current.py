"""Current against full load, lost phase and unbalance: each boundary, each way to be unable."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fleet.plates import Feed, Plate
from tests.limits.samples import (
    EC_PLATE,
    FEED,
    PLATE,
    PSC_PLATE,
    amps,
    code,
    judged,
    verdict,
    volts,
)
from visits.limits import Reading

GOOD_VOLTS = volts(230, 230, 230)
DRIVE = replace(FEED, control="drive", drive_input_volts=230)


@pytest.mark.parametrize(
    ("leg", "expected"),
    [(3.19, "within"), (3.2, "within"), (3.21, "watch"), (3.67, "watch"), (3.68, "watch"),
     (3.69, "act"), (3.99, "act"), (4.0, "act"), (4.01, "stop")],
)  # fmt: skip
def test_amps_at_good_volts_use_the_service_factor(leg: float, expected: str) -> None:
    assert verdict("amps", GOOD_VOLTS | amps(3, leg, 3)) == expected


@pytest.mark.parametrize(
    ("lines", "expected"),
    [((218.5, 230, 241.5), "watch"), ((218.4, 230, 230), "act"), ((230, 230, 241.6), "act"),
     ((230, 230), "act"), ((), "act")],
)  # fmt: skip
def test_amps_above_full_load_are_watch_only_with_every_line_near(
    lines: tuple[float, ...], expected: str
) -> None:
    assert verdict("amps", volts(*lines) | amps(3.3, 3.3, 3.3)) == expected


def test_amps_without_service_factor_have_none() -> None:
    plate = replace(PLATE, service_factor=None)
    assert verdict("amps", GOOD_VOLTS | amps(3.3), plate=plate) == "act"


@pytest.mark.parametrize(("leg", "expected"), [(4.2, "watch"), (4.5, "stop")])
def test_amps_with_a_large_service_factor_stop_beyond_it(leg: float, expected: str) -> None:
    plate = replace(PLATE, service_factor=1.4)
    assert verdict("amps", GOOD_VOLTS | amps(leg), plate=plate) == expected


@pytest.mark.parametrize(
    ("leg", "expected"),
    [(3.1, "within"), (3.3, "cannot_judge"), (4.2, "cannot_judge"), (5, "stop")],
)
def test_amps_with_an_unreadable_service_factor_need_one_verdict_for_all(
    leg: float, expected: str
) -> None:
    plate = replace(PLATE, service_factor=None, unreadable=frozenset({"service_factor"}))
    assert verdict("amps", GOOD_VOLTS | amps(leg), plate=plate) == expected


@pytest.mark.parametrize(
    ("lines", "full_load_a"),
    [((208, 208, 208), 3.3), ((219, 219, 219), 3.3), ((219.1, 219, 219), 3.2),
     ((230, 230, 230), 3.2), ((), 3.3)],
)  # fmt: skip
def test_full_load_of_a_range_plate_is_of_the_end_nearer_the_lines(
    lines: tuple[float, ...], full_load_a: float
) -> None:
    plate = replace(PLATE, volts="208-230/460", full_load_amps="3.3-3.2/1.6")
    found = judged("amps", volts(*lines) | amps(3), plate=plate)
    assert found is not None
    assert found.args["full_load_a"] == full_load_a


def test_volts_near_a_range_plate_are_near_the_end_that_counts() -> None:
    plate = replace(PLATE, volts="208-230/460", full_load_amps="3.3-3.2/1.6")
    # 218 V lies within 5 % of 208 V, the end nearer; 3.4 A is above its 3.3 A.
    assert verdict("amps", volts(218, 218, 218) | amps(3.4), plate=plate) == "watch"


def test_amps_use_a_suggested_rating_and_say_so() -> None:
    found = judged("amps", volts(202, 200, 200) | amps(2.8), feed=Feed())
    assert found is not None
    assert (found.verdict, found.args["suggested"]) == ("within", True)


def test_amps_without_any_rating_in_use_cannot_be_judged() -> None:
    found = judged("amps", amps(2.8), feed=Feed())
    assert found is not None
    assert found.args["missing"] == ("connected_volts",)


def test_amps_of_a_plate_with_unreadable_amperes_say_so() -> None:
    plate = replace(PLATE, full_load_amps="?/1.6")
    found = judged("amps", amps(2.8), plate=plate)
    assert found is not None
    assert (found.verdict, found.args["unreadable"]) == ("cannot_judge", ("full_load_amps",))


def test_amps_of_a_plate_without_volts_use_its_only_amperes() -> None:
    plate = Plate(motor_type="three_phase", full_load_amps="3.2")
    assert verdict("amps", amps(3.3), plate=plate, feed=Feed()) == "act"


@pytest.mark.parametrize(
    ("place", "expected"),
    [("drive_output", "amps.within"), ("line", "amps.at_drive_input"), ("", "missing")],
)
def test_amps_behind_a_drive_count_only_at_its_output(place: str, expected: str) -> None:
    assert code("amps", amps(2.8), feed=DRIVE, amps_place=place) == expected


def test_amps_past_a_bypassed_drive_count_at_the_line() -> None:
    feed = replace(FEED, control="drive_bypassed")
    assert verdict("amps", amps(4.1), feed=feed, amps_place="line") == "stop"


def test_amps_of_an_electronic_motor_are_judged_by_its_plate() -> None:
    assert verdict("amps", amps(2.6), plate=EC_PLATE, feed=Feed()) == "act"


@pytest.mark.parametrize(
    ("qualifier", "value", "expected"),
    [("<", 3.0, "within"), ("<", 3.3, "cannot_judge"), (">", 4.0, "stop"),
     (">", 3.0, "cannot_judge"), ("over", None, "cannot_judge"),
     ("unstable", 3.0, "cannot_judge"), ("over", 10.0, "stop")],
)  # fmt: skip
def test_qualified_amps_count_where_all_they_allow_has_one_verdict(
    qualifier: str, value: float | None, expected: str
) -> None:
    assert verdict("amps", amps(Reading(value, "A", qualifier))) == expected


def test_amps_with_one_leg_unknown_and_one_bad_are_bad() -> None:
    assert verdict("amps", amps(5, Reading(3, "", ">"), 3)) == "stop"


def test_low_amps_at_full_speed_are_a_remark_only() -> None:
    found = judged("amps", amps(1.5, 1.5, 1.5))
    assert found is not None
    assert (found.code, found.verdict) == ("amps.low", "within")


@pytest.mark.parametrize(("hertz", "expected"), [(60, "amps.low"), (30, "amps.within")])
def test_low_amps_on_a_drive_are_remarked_only_at_plate_hertz(hertz: float, expected: str) -> None:
    readings = amps(1.5, 1.5, 1.5) | {"supply_hz": hertz}
    assert code("amps", readings, feed=DRIVE, amps_place="drive_output") == expected


def test_low_amps_behind_a_triac_are_no_remark() -> None:
    feed = Feed(control="triac")
    assert code("amps", amps(2), plate=PSC_PLATE, feed=feed) == "amps.within"


@pytest.mark.parametrize(
    ("leg", "expected"), [(0, "stop"), (0.29, "stop"), (0.3, "within"), (0.31, "within")]
)
def test_phase_is_lost_below_a_tenth_of_the_others(leg: float, expected: str) -> None:
    assert verdict("lost_phase", amps(3, leg, 3)) == expected


def test_lost_phase_names_its_leg() -> None:
    found = judged("lost_phase", amps(3, 3, 0.1))
    assert found is not None
    assert (found.quantity, found.args["leg"]) == ("amps_c_a", 3)


@pytest.mark.parametrize("running", ["dead", "off_by_request"])
def test_phase_of_a_fan_not_running_is_not_judged(running: str) -> None:
    assert judged("lost_phase", amps(3, 0, 3) | {"running": running}) is None


def test_phase_is_judged_at_a_drives_output_but_not_at_its_input() -> None:
    at = {
        place: verdict("lost_phase", amps(3, 0, 3), feed=DRIVE, amps_place=place)
        for place in ("drive_output", "line", "")
    }
    assert at == {"drive_output": "stop", "line": "", "": ""}


def test_phase_of_a_motor_of_unknown_type_cannot_be_judged() -> None:
    found = judged("lost_phase", amps(3, 0, 3), plate=Plate())
    assert found is not None
    assert found.args["missing"] == ("motor_type",)


def test_phase_without_current_at_all_says_nothing() -> None:
    assert judged("lost_phase", amps(0, 0, 0)) is None


@pytest.mark.parametrize(
    ("bound", "expected"),
    [(0.3, "stop"), (0.2, "stop"), (0.4, "cannot_judge"), (3, "cannot_judge")],
)
def test_phase_read_below_a_bound_is_lost_where_every_value_is(bound: float, expected: str) -> None:
    assert verdict("lost_phase", amps(3, Reading(bound, "", "<"), 3)) == expected


@pytest.mark.parametrize(
    ("percent", "expected"),
    [(9.9, "within"), (10, "within"), (10.1, "watch"), (19.9, "watch"), (20, "watch"),
     (20.1, "act"), (60, "act")],
)  # fmt: skip
def test_amps_unbalance_at_each_boundary(percent: float, expected: str) -> None:
    apart = 2 * percent / 100
    assert verdict("amps_unbalance", amps(2 + apart, 2, 2 - apart)) == expected


def test_amps_unbalance_with_a_leg_below_a_bound_is_known_where_it_is_always_large() -> None:
    assert verdict("amps_unbalance", amps(2, Reading(0.5, "", "<"), 2)) == "act"


def test_amps_unbalance_with_a_leg_that_may_be_alike_cannot_be_judged() -> None:
    assert verdict("amps_unbalance", amps(2, Reading(2.1, "", "<"), 2)) == "cannot_judge"


def test_second_leg_of_a_single_phase_motor_is_not_asked() -> None:
    found = judged("amps_unbalance", amps(5, 5, 5), plate=PSC_PLATE)
    assert found is None


def test_volts_near_a_drives_input_rating_let_the_service_factor_count() -> None:
    readings = volts(230, 230, 230) | amps(3.3)
    assert verdict("amps", readings, feed=DRIVE, amps_place="drive_output") == "watch"
