"""Stories of supply, motors and switches: dates counted on paper, words that must be said."""

from __future__ import annotations

import pytest

from schedules.demo.stories import motors, supply
from tests.stories.telling import repeats_said, said_of, tell

pytestmark = pytest.mark.django_db


def test_low_volts_found_ten_days_ago_come_back_after_fourteen() -> None:
    # 0.9 x 230 V = 207 V; 200 V is to be acted on: found day -10, looked at again 14 days on.
    line = tell(supply.low_volts)["EF-1"]
    assert (line.rule, line.due, line.overdue) == (6, 4, 7)


def test_low_volts_name_floor_reading_and_service() -> None:
    sentence = tell(supply.low_volts)["EF-1"].sentence
    assert [word for word in ("200 V", "207 V", "208 V service") if word in sentence] == [
        "200 V", "207 V", "208 V service",
    ]  # fmt: skip


def test_low_volts_leave_the_current_within() -> None:
    tell(supply.low_volts)
    assert said_of("EF-1", "amps") == ["within: 2.8, 2.8, 2.9 A: not above full load, 3.2 A."]


def test_range_plate_at_190_volts_is_within_from_its_low_end() -> None:
    # 0.9 x 208 V = 187.2 V; 1.1 x 230 V = 253 V
    tell(supply.range_plate)
    assert said_of("EF-1", "volts") == ["within: 190, 191, 190 V lie within 187.2 V to 253 V."]


def test_range_plate_is_due_by_the_walk_through_alone() -> None:
    # 6 May + 2 months
    line = tell(supply.range_plate)["EF-1"]
    assert (line.rule, line.due, line.overdue) == (1, 21, 35)
    assert line.sentence == (
        "Walk-through: last complete one Wed 6 May 2026; good condition, every 2 months."
    )


def test_dead_leg_made_safe_restarts_on_the_promised_day() -> None:
    line = tell(supply.dead_leg)["EF-1"]
    assert (line.rule, line.due, line.overdue, line.why) == (9, 3, 6, "promised")


def test_dead_leg_is_a_stop_though_its_volts_are_within() -> None:
    tell(supply.dead_leg)
    volts, lost = said_of("EF-1", "volts"), said_of("EF-1", "lost_phase")
    assert (volts[0][:7], lost[0][:11]) == ("within:", "stop: Leg 3")


def test_breaker_that_trips_again_leads_to_the_amperes() -> None:
    # volts within 5 % of 208 V: 5.0 A x 1.15 = 5.75 A; found day -4
    line = tell(supply.trips_again)["EF-1"]
    assert (line.rule, line.due, line.overdue) == (6, 10, 13)
    assert "5.9 A is above 5.75 A, full load 5 A times the service factor 1.15" in line.sentence


def test_breaker_that_trips_again_has_its_resets_counted() -> None:
    assert repeats_said(tell(supply.trips_again)["EF-1"]) == (
        "2 breaker resets since Sat 6 Jun 2026, the last on Wed 10 Jun 2026. Do not reset it again "
        "until someone qualified has judged the circuit safe.",
    )


def test_bypassed_drive_without_overload_is_owed_a_look_in_two_weeks() -> None:
    line = tell(supply.bypassed_drive)["EF-1"]
    assert (line.rule, line.due, line.overdue) == (6, 6, 9)
    assert "no overload protects the motor" in line.sentence


def test_switch_with_an_open_pole_waits_a_week_for_its_restart() -> None:
    # made safe on day -2 without a promise: 7 days
    line = tell(motors.three_poles)["EF-1"]
    assert (line.rule, line.due, line.overdue, line.why) == (9, 5, 8, "no_promise")


def test_switch_with_one_pole_good_one_high_one_open_is_bad() -> None:
    tell(motors.three_poles)
    (said,) = said_of("EF-1", "poles")
    assert said.startswith("stop:")
    assert "open" in said


def test_weak_capacitor_is_replaced_within_two_weeks() -> None:
    # 8.7 of 10 uF is 13 % short, beyond the -10 % of a watch
    line = tell(motors.weak_capacitor)["EF-1"]
    assert (line.rule, line.due, line.overdue) == (6, 7, 10)
    assert "8.7 µF, 13 % below the plate's 10 µF" in line.sentence


def test_ec_motor_with_a_megger_reading_stays_good_and_may_stretch() -> None:
    # low reliability, stretching allowed: 2 x 2.5 months, at most 4: 11 May + 4 months
    line = tell(motors.built_in_electronics)["EF-1"]
    assert (line.rule, line.due, line.overdue) == (1, 88, 102)
    assert "good condition, every 4 months" in line.sentence


def test_ec_motor_is_never_judged_by_a_megger() -> None:
    tell(motors.built_in_electronics)
    (said,) = said_of("EF-1", "insulation")
    assert said.startswith("cannot_judge: Insulation: not asked")


def test_unreadable_plate_keeps_the_condition_average() -> None:
    # a required item that cannot be judged blocks good: 26 Apr + 2 months
    line = tell(motors.plate_unreadable)["EF-1"]
    assert (line.rule, line.due, line.overdue) == (1, 11, 25)
    assert "average condition" in line.sentence


@pytest.mark.parametrize("subject", ["volts", "amps", "vibration"])
def test_unreadable_plate_says_what_it_hides(subject: str) -> None:
    tell(motors.plate_unreadable)
    assert "cannot be read" in said_of("EF-1", subject)[-1]


def test_declined_advice_then_a_seized_motor_leaves_a_temporary_repair_to_redo() -> None:
    # temporary on day -3: 14 days; a stop is overdue at once
    line = tell(motors.declined_and_failed)["EF-1"]
    assert (line.rule, line.due, line.overdue, line.why) == (6, 11, 11, "temporary")


def test_declined_advice_then_a_seized_motor_says_both() -> None:
    sentence = tell(motors.declined_and_failed)["EF-1"].sentence
    assert "does not run" in sentence
    assert "lasting repair is owed" in sentence
