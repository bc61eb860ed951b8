"""Rule 5a by examples worked out by hand from the rules."""

from __future__ import annotations

from dataclasses import replace
from math import nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from schedules.engine.record import Action, Decision, Event, FanRecord, Look, Machine, Noted
from schedules.engine.record import OutOfService as Away
from tests.engine.fans import day, days, rule_date
from tests.engine.shaking import BELOW_ALARM, BELOW_START, felt, reading, shaken, shook

MARCH_1, MARCH_15, APRIL_1 = "2025-03-01", "2025-03-15", "2025-04-01"
WATCH, ACT, STOP = 8.0, 13.0, 16.0


def due(record: FanRecord) -> str | None:
    found = days(record, 5)
    return found and found[0]


@pytest.mark.parametrize(
    ("value", "dates"),
    [
        (7.5, None),
        (WATCH, ("2025-03-31", "2025-04-03")),
        (ACT, ("2025-03-15", "2025-03-18")),
        (STOP, (MARCH_1, MARCH_1)),
    ],
)
def test_level_when_first_reached_then_days_by_verdict(
    value: float, dates: tuple[str, str] | None
) -> None:
    assert days(shaken(shook(MARCH_1, value)), 5) == dates


# Every reading after a watch is its look, whoever's meter it is.
@pytest.mark.parametrize("second", [WATCH, BELOW_START, 7.5])
@pytest.mark.parametrize("meter", ["overall", "phone"])
def test_watch_when_read_again_then_settled(second: float, meter: str) -> None:
    assert due(shaken(shook(MARCH_1, WATCH), shook(MARCH_15, 7.5, meter=meter))) is None


def test_watch_at_one_point_when_another_is_read_then_stands() -> None:
    looks = (shook(MARCH_1, WATCH), shook(MARCH_15, 3.0, point="motor_axial"))
    assert due(shaken(*looks)) == "2025-03-31"


# 7.3 of 7.6 mm/s is no fall below 0.9 of the limit: the next 8 is no new crossing.
@pytest.mark.parametrize(("between", "again"), [(7.3, None), (BELOW_START, "2025-05-01")])
def test_watch_when_left_only_by_a_little_then_not_crossed_again(
    between: float, again: str | None
) -> None:
    looks = (shook(MARCH_1, WATCH), shook(MARCH_15, between), shook(APRIL_1, WATCH))
    assert due(shaken(*looks)) == again


# 14, 30, 60, 60 ... days, each from the day of the reading before.
@pytest.mark.parametrize(
    ("readings", "expected"),
    [(1, "2025-03-15"), (2, "2025-04-10"), (3, "2025-06-01"), (4, "2025-07-30")],
)
def test_act_when_read_again_and_again_then_days_grow(readings: int, expected: str) -> None:
    on = (MARCH_1, "2025-03-11", "2025-04-02", "2025-05-31")
    assert due(shaken(*(shook(each, ACT) for each in on[:readings]))) == expected


@pytest.mark.parametrize(("second", "expected"), [(BELOW_ALARM, None), (11.5, "2025-04-14")])
def test_act_when_read_lower_then_left_only_below_nine_tenths(
    second: float, expected: str | None
) -> None:
    assert due(shaken(shook(MARCH_1, ACT), shook(MARCH_15, second))) == expected


def test_act_when_left_and_reached_again_then_counted_anew() -> None:
    looks = (shook(MARCH_1, ACT), shook("2025-03-11", 5.0), shook(MARCH_15, ACT))
    assert due(shaken(*looks)) == "2025-03-29"


def test_act_when_the_reading_cannot_be_judged_then_moved_on() -> None:
    unjudged = reading(13.0, "cannot_judge", meter="phone")
    unknown = Look(day(MARCH_15), vibration=(unjudged,))
    assert due(shaken(shook(MARCH_1, ACT), unknown)) == "2025-04-14"


# "Not now" on 10 March: 30 days from then; "declined" doubles what is set afterwards.
@pytest.mark.parametrize(
    ("answers", "expected"),
    [
        (["not_now"], "2025-04-09"),
        (["declined"], "2025-03-15"),
        (["declined", "not_now"], "2025-05-09"),
        (["go_ahead"], "2025-03-15"),
    ],
)
def test_act_when_the_owner_answers_then_dated_by_the_answer(
    answers: list[str], expected: str
) -> None:
    said = tuple(Decision("vibration", answer, day("2025-03-10")) for answer in answers)
    assert due(shaken(shook(MARCH_1, ACT), decisions=said)) == expected


def test_act_when_answered_on_its_own_day_then_the_answer_was_to_something_older() -> None:
    said = Decision("vibration", "not_now", day(MARCH_1))
    assert due(shaken(shook(MARCH_1, ACT), decisions=(said,))) == "2025-03-15"


# A stop stands from its own day, however often it is seen, until it is seen below stop.
@pytest.mark.parametrize(
    ("second", "expected"), [(STOP, MARCH_1), (ACT, "2025-03-29"), (WATCH, None), (3.0, None)]
)
@pytest.mark.parametrize("stage", ["as_found", "as_left"])
def test_stop_when_seen_again_then_ends_only_below_stop(
    second: float, expected: str | None, stage: str
) -> None:
    assert due(shaken(shook(MARCH_1, STOP), shook(MARCH_15, second, stage=stage))) == expected


def test_stop_when_the_reading_cannot_be_judged_then_stands() -> None:
    unjudged = shook(MARCH_15, 3.0, "cannot_judge")
    assert due(shaken(shook(MARCH_1, STOP), unjudged)) == MARCH_1


def test_stop_when_made_safe_then_no_date_but_a_new_stop_is_one() -> None:
    away = Away(day(MARCH_1), restarted_day=day("2025-03-10"))
    stopped = shook(MARCH_1, STOP)
    assert due(shaken(stopped, out_of_service=(away,))) is None
    again = shook(MARCH_15, STOP)
    assert due(shaken(stopped, again, out_of_service=(away,))) == MARCH_15


def test_levels_as_left_then_open_nothing() -> None:
    assert due(shaken(shook(MARCH_1, STOP, stage="as_left"))) is None


@pytest.mark.parametrize(
    ("grade", "dates"),
    [
        ("none", None),
        ("slight", ("2025-03-31", "2025-04-03")),
        ("strong", ("2025-03-15", "2025-03-18")),
        ("violent", (MARCH_1, MARCH_1)),
    ],
)
def test_felt_when_first_felt_then_days_by_grade(grade: str, dates: tuple[str, str] | None) -> None:
    assert days(shaken(felt(MARCH_1, grade)), 5) == dates


@pytest.mark.parametrize("since", ["", "reset"])
def test_felt_slight_when_felt_so_before_then_dated_only_after_a_reset(since: str) -> None:
    looks = (felt(MARCH_1, "slight"), felt(MARCH_15, "none"), felt(APRIL_1, "slight"))
    balanced = Action("balanced", "wheel", day("2025-03-20"))
    record = shaken(*looks, actions=(balanced,) if since else ())
    assert due(record) == ("2025-05-01" if since else None)


def test_felt_strong_again_then_moved_on_like_any_act() -> None:
    assert due(shaken(felt(MARCH_1, "strong"), felt(MARCH_15, "strong"))) == "2025-04-14"


def test_felt_violent_when_felt_strong_then_an_act_of_that_day() -> None:
    assert due(shaken(felt(MARCH_1, "violent"), felt(MARCH_15, "strong"))) == "2025-03-29"


# A hand on the curb is a look at a measured watch, not at a measured act.
@pytest.mark.parametrize(("value", "expected"), [(WATCH, None), (ACT, "2025-03-15")])
def test_measured_level_when_felt_by_hand_then_only_watch_settled(
    value: float, expected: str | None
) -> None:
    assert due(shaken(shook(MARCH_1, value), felt("2025-03-10", "none"))) == expected


@pytest.mark.parametrize(
    "done",
    [
        Action("replaced", "wheel", day(MARCH_15)),
        Action("replaced", "bearings", day(MARCH_15)),
        Action("replaced", "motor", day(MARCH_15)),
        Action("balanced", "wheel", day(MARCH_15)),
        Action("speed_changed", "sheaves", day(MARCH_15)),
        Action("remounted", "curb", day(MARCH_15)),
    ],
)
def test_levels_after_a_reset_then_nothing_stands(done: Action) -> None:
    assert due(shaken(shook(MARCH_1, ACT), actions=(done,))) is None


def test_levels_when_something_else_was_replaced_then_stand() -> None:
    done = Action("replaced", "switch", day(MARCH_15))
    assert due(shaken(shook(MARCH_1, ACT), actions=(done,))) == "2025-03-15"


def test_levels_of_a_machine_replaced_then_gone() -> None:
    machines = (Machine(1), Machine(day("2025-03-10"), first=False))
    assert due(shaken(shook(MARCH_1, STOP), machines=machines)) is None


# A quarter of the start-up limit is 1.9 mm/s.  13.0 to 11.0 is more: the series begins anew, above
# its start-up limit.  To 11.2 is less: the act is left, and watch is no worse than that.
@pytest.mark.parametrize(("after", "expected"), [(11.0, "2025-04-14"), (11.2, None)])
def test_act_when_the_wheel_was_cleaned_then_only_a_drop_starts_anew(
    after: float, expected: str | None
) -> None:
    washed = Event("hood_cleaning", day("2025-03-10"), day("2025-03-10"), wheel_cleaned=True)
    record = shaken(shook(MARCH_1, ACT), shook(MARCH_15, after), events=(washed,))
    assert due(record) == expected


# A named speed within 5 % of the plate's 60 Hz is of the same series; 30 Hz is not, and crosses
# anew.
@pytest.mark.parametrize(("hz", "expected"), [(57.0, "2025-04-14"), (30.0, "2025-03-29")])
def test_act_at_another_speed_then_a_series_of_its_own(hz: float, expected: str) -> None:
    looks = (shook(MARCH_1, ACT), shook(MARCH_15, ACT, hz=hz))
    assert due(shaken(*looks, machines=(Machine(1, hertz=60),))) == expected


# 57.6 Hz, named when the work was done, begins the band: 60 is within 5 % of it, 61.8 is not, and
# crosses anew. A named hertz counts whatever the stage it was named at.
def test_speed_named_as_left_then_begins_the_band() -> None:
    left = shook(MARCH_1, WATCH, stage="as_left", hz=57.6)
    looks = (left, shook(MARCH_15, ACT, hz=60.0), shook(APRIL_1, ACT, hz=61.8))
    assert due(shaken(*looks, machines=(Machine(1, hertz=nan),))) == "2025-04-15"


# Known and lasting: no date below what was marked; a worse verdict is a fault of its own.
@pytest.mark.parametrize(("second", "expected"), [(WATCH, None), (ACT, "2025-03-29")])
def test_watch_marked_lasting_then_silent_until_worse(second: float, expected: str | None) -> None:
    marked = Noted("vibration", "wheel", "watch", day(MARCH_1), lasting=True)
    looks = (shook(MARCH_1, WATCH), shook("2025-03-08", 6.0, "watch"), shook(MARCH_15, second))
    assert due(shaken(*looks, noted=(marked,))) == expected


# What was known of the shaking went with the wheel, its balance or the machine.
@pytest.mark.parametrize(
    ("facts", "again"),
    [
        ({"actions": (Action("balanced", "wheel", day("2025-03-10")),)}, {}),
        ({"actions": (Action("replaced", "wheel", day("2025-03-10")),)}, {}),
        ({"machines": (Machine(1), Machine(day("2025-03-10"), first=False))}, {"machine": 1}),
    ],
)
def test_watch_marked_lasting_when_begun_anew_then_dated(
    facts: dict[str, object], again: dict[str, object]
) -> None:
    marked = replace(shook(MARCH_1, WATCH), lasting=frozenset({"vibration"}))
    assert due(shaken(marked, shook(MARCH_15, WATCH, **again), **facts)) == "2025-04-14"


def test_act_marked_lasting_when_another_meter_reads_low_then_the_next_act_is_new() -> None:
    marked = replace(shook(MARCH_1, ACT, meter="spectrum"), lasting=frozenset({"vibration"}))
    low = shook("2025-03-18", 5.0, meter="overall")
    assert due(shaken(marked, low, shook("2025-03-29", ACT, meter="spectrum"))) == "2025-04-12"


# As left ends a stop, but only what is found has been seen before.
def test_slight_as_left_after_a_violent_shaking_then_slight_found_later_is_new() -> None:
    left = felt(MARCH_1, "slight", stage="as_left")
    looks = (felt(MARCH_1, "violent"), left, felt(MARCH_15, "none"), felt(APRIL_1, "slight"))
    assert due(shaken(*looks)) == "2025-05-01"


def test_stop_marked_lasting_then_a_stop_all_the_same() -> None:
    marked = Noted("vibration", "wheel", "stop", day(MARCH_1), lasting=True)
    assert due(shaken(shook(MARCH_1, STOP), noted=(marked,))) == MARCH_1


def test_levels_when_order_told_is_another_then_same_dates() -> None:
    looks = (shook(MARCH_1, ACT), shook("2025-03-11", ACT), felt(MARCH_15, "slight"))
    assert days(shaken(*looks[::-1]), 5) == days(shaken(*looks), 5)


# Higher at the last look never means later.
@pytest.mark.parametrize("tenths", range(60, 170, 5))
def test_level_read_higher_at_the_last_look_then_never_later(tenths: int) -> None:
    lower, higher = (
        due(shaken(shook(MARCH_1, 3.0), shook(MARCH_15, value / 10))) or "9999"
        for value in (tenths, tenths + 5)
    )
    assert higher <= lower


def test_level_in_its_evidence_then_value_limit_and_point() -> None:
    found = rule_date(shaken(shook(MARCH_1, ACT)), 5)
    assert found is not None
    assert found.why == "level"
    assert found.args == pytest.approx(
        {"point": 1, "verdict": 3, "value_mm_s": ACT, "limit_mm_s": 12.7, "nth": 1}
        | {"seen_day": day(MARCH_1)}
    )


# Without a trend (five readings): where a level begins to stand, 5c is silent, and by the letter of
# the rules a reading at the alarm may then come back later than one just below it.
@given(st.lists(st.floats(0.5, 20), min_size=1, max_size=4), st.floats(0, 10))
def test_vibration_when_the_last_reading_is_worse_then_never_due_later(
    values: list[float], more: float
) -> None:
    months = [f"2025-{month:02d}-01" for month in range(1, 5)]
    dues = [
        due(shaken(*map(shook, months, [*values[:-1], last]))) or "never"
        for last in (values[-1] + more, values[-1])
    ]
    assert dues == sorted(dues)
