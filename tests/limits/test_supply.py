"""Volts, their unbalance and heat differences: each boundary at, just below and just above."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fleet.plates import Feed, Plate
from tests.limits.samples import EC_PLATE, FEED, PLATE, PSC_PLATE, code, judged, verdict, volts

RANGE_PLATE = Plate(
    motor_type="three_phase", volts="208-230/460", full_load_amps="3.3-3.2/1.6", drive="direct"
)
ON_LOW_PAIR = Feed(connected_volts="208-230", connected_confirmed=True)


@pytest.mark.parametrize(
    ("line", "expected"),
    [(206.9, "act"), (207, "within"), (207.1, "within"), (230, "within"),
     (252.9, "within"), (253, "within"), (253.1, "act")],
)  # fmt: skip
def test_volts_at_ten_percent_of_the_rating(line: float, expected: str) -> None:
    assert verdict("volts", volts(230, 230, line)) == expected


@pytest.mark.parametrize(
    ("line", "expected"), [(187.1, "act"), (187.2, "within"), (253, "within"), (253.1, "act")]
)
def test_volts_of_a_range_plate_run_from_its_low_to_its_high_end(
    line: float, expected: str
) -> None:
    readings = volts(line, line, line)
    assert verdict("volts", readings, plate=RANGE_PLATE, feed=ON_LOW_PAIR) == expected


def test_volts_high_names_the_line_furthest_out() -> None:
    found = judged("volts", volts(254, 256, 230))
    assert found is not None
    assert (found.code, found.quantity, found.value) == ("volts.high", "volts_bc_v", 256)


def test_volts_of_one_line_only_are_judged_by_themselves() -> None:
    assert verdict("volts", volts(206)) == "act"


def test_volts_with_a_rating_only_suggested_cannot_be_judged() -> None:
    assert code("volts", volts(202, 200, 200), feed=Feed()) == "volts.only_suggested"


def test_volts_with_a_connection_only_guessed_cannot_be_judged() -> None:
    feed = Feed(connected_volts="230", connected_confirmed=False)
    assert code("volts", volts(230, 230, 230), feed=feed) == "volts.only_suggested"


def test_volts_of_a_plate_with_one_rating_need_no_confirmation() -> None:
    plate = replace(PLATE, volts="460", full_load_amps="1.6")
    assert verdict("volts", volts(460, 460, 460), plate=plate, feed=Feed()) == "within"


def test_volts_far_from_every_rating_suggest_none() -> None:
    found = judged("volts", volts(120, 120, 120), feed=Feed())
    assert found is not None
    assert found.args["missing"] == ("connected_volts",)


def test_volts_without_a_plate_say_what_is_missing() -> None:
    found = judged("volts", volts(230, 230, 230), plate=Plate(), feed=Feed())
    assert found is not None
    assert (found.verdict, found.args["missing"]) == ("cannot_judge", ("volts",))


def test_volts_of_an_unreadable_plate_say_so() -> None:
    plate = Plate(motor_type="three_phase", unreadable=frozenset({"volts"}))
    found = judged("volts", volts(230, 230, 230), plate=plate, feed=Feed())
    assert found is not None
    assert found.args["unreadable"] == ("volts",)


def test_volts_of_a_plate_that_contradicts_its_connection_cannot_be_judged() -> None:
    feed = Feed(connected_volts="575", connected_confirmed=True)
    assert code("volts", volts(575, 575, 575), feed=feed) == "plate_unusable"


@pytest.mark.parametrize(("line", "expected"), [(431, "act"), (432, "within"), (529, "act")])
def test_volts_on_a_drive_go_by_its_input_rating(line: float, expected: str) -> None:
    feed = replace(FEED, control="drive", drive_input_volts=480)
    assert verdict("volts", volts(line, line, line), feed=feed) == expected


def test_volts_on_a_drive_without_input_rating_cannot_be_judged() -> None:
    found = judged("volts", volts(480, 480, 480), feed=replace(FEED, control="drive"))
    assert found is not None
    assert found.args["missing"] == ("drive_input_volts",)


def test_volts_past_a_bypassed_drive_go_by_the_motor() -> None:
    feed = replace(FEED, control="drive_bypassed", drive_input_volts=480)
    assert verdict("volts", volts(230, 230, 230), feed=feed) == "within"


def test_volts_within_on_a_lower_service_are_said_to_be() -> None:
    feed = replace(FEED, service_volts=208)
    assert code("volts", volts(210, 210, 210), feed=feed) == "volts.within_on_lower_service"


def test_volts_on_their_own_service_say_nothing_of_it() -> None:
    feed = replace(FEED, service_volts=240)
    assert code("volts", volts(210, 210, 210), feed=feed) == "volts.within"


@pytest.mark.parametrize(
    ("deviation", "expected"),
    [(0.99, "within"), (1.0, "within"), (1.01, "watch"), (1.99, "watch"), (2.0, "watch"),
     (2.01, "act"), (4.99, "act"), (5.0, "act"), (5.01, "stop")],
)  # fmt: skip
def test_volts_unbalance_at_each_boundary(deviation: float, expected: str) -> None:
    apart = 230 * deviation / 100
    assert verdict("volts_unbalance", volts(230 + apart, 230, 230 - apart)) == expected


def test_volts_unbalance_of_two_lines_says_nothing() -> None:
    assert judged("volts_unbalance", volts(230, 200)) is None


# rules.md B asks of three phases, not of a running motor: the disconnect's line side is live.
@pytest.mark.parametrize("subject", ["volts", "volts_unbalance"])
def test_supply_of_a_dead_fan_is_judged_as_that_of_a_running_one(subject: str) -> None:
    lines = volts(480, 240, 240)
    assert verdict(subject, lines | {"running": "dead"}) == verdict(subject, lines) != ""


def test_volts_unbalance_needs_no_plate() -> None:
    assert verdict("volts_unbalance", volts(230, 230, 200), plate=Plate(), feed=Feed()) == "stop"


def test_volts_unbalance_of_a_three_phase_electronic_motor_is_judged() -> None:
    plate = replace(EC_PLATE, phases=3)
    assert verdict("volts_unbalance", volts(230, 230, 222), plate=plate) == "act"


def test_second_line_of_a_single_phase_motor_is_not_asked() -> None:
    found = judged("volts", volts(115, 115, 115) | {"volts_ab_v": None}, plate=PSC_PLATE)
    assert found is not None
    assert (found.code, found.verdict) == ("not_asked", "cannot_judge")


@pytest.mark.parametrize(
    ("kelvin", "expected"),
    [(0.9, "within"), (1, "watch"), (1.1, "watch"), (3.9, "watch"), (4, "act"), (4.1, "act"),
     (14.9, "act"), (15, "act"), (15.1, "stop")],
)  # fmt: skip
def test_temperature_difference_at_each_boundary(kelvin: float, expected: str) -> None:
    found = verdict("temperature_difference", {"temperature_difference_k": kelvin})
    assert found == expected
