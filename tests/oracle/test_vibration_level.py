"""The oracle's crossings: when one calls for a look, and what settles it."""

from __future__ import annotations

import pytest

from schedules.engine.record import Action, Decision, Event, Look, OutOfService, Vibration
from tests.engine.fans import day, fan
from tests.oracle.asked import asked

START, ALARM, STOP = 7.6, 12.7, 15.875  # ISO 14694, BV-2 rigid, mm/s peak; stop 1.25 x alarm


def verdict_of(mm_s: float) -> str:
    if mm_s >= STOP:
        return "stop"
    return "act" if mm_s >= ALARM else "watch" if mm_s >= START else "within"


def measured(
    on: str, mm_s: float, meter: str = "overall", hz: float = 60.0, **facts: object
) -> Look:
    reading = Vibration(
        "motor_radial", "peak", meter, mm_s, verdict_of(mm_s), START, ALARM,
        mm_s / START, mm_s / ALARM, hz,
    )  # fmt: skip
    return Look(day(on), vibration=(reading,), **facts)  # type: ignore[arg-type]


def felt(on: str, grade: str, **facts: object) -> Look:
    return Look(day(on), felt=grade, **facts)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("mm_s", "dates"),
    [
        (7.5, []),
        (7.6, [("2025-02-09", "2025-02-12")]),
        (12.7, [("2025-01-24", "2025-01-27")]),
        (15.9, [("2025-01-10", "2025-01-10")]),
    ],
)
def test_level_when_first_crossed_then_30_or_14_days_or_at_once(
    mm_s: float, dates: list[tuple[str, str]]
) -> None:
    assert asked(fan(looks=(measured("2025-01-10", mm_s),)), 5) == dates


@pytest.mark.parametrize(
    "later",
    [measured("2025-01-12", 8), measured("2025-01-12", 7, "phone"), felt("2025-01-12", "none")],
)
def test_watch_when_looked_at_by_any_means_then_settled(later: Look) -> None:
    assert asked(fan(looks=(measured("2025-01-10", 8), later)), 5) == []


def test_watch_when_it_dips_a_little_then_no_new_crossing() -> None:
    looks = (measured("2025-01-10", 8), measured("2025-02-01", 7.2), measured("2025-02-20", 8))
    assert asked(fan(looks=looks), 5) == []


def test_watch_when_it_was_well_below_then_crosses_anew() -> None:
    looks = (measured("2025-01-10", 8), measured("2025-02-01", 6.8), measured("2025-02-20", 8))
    assert asked(fan(looks=looks), 5) == [("2025-03-22", "2025-03-25")]


@pytest.mark.parametrize(
    ("later", "due"),
    [
        (["2025-01-20"], "2025-02-19"),
        (["2025-01-20", "2025-02-01"], "2025-04-02"),
        (["2025-01-20", "2025-02-01", "2025-02-02"], "2025-04-03"),
    ],
)
def test_act_when_it_stands_then_30_and_60_days_from_each_look(later: list[str], due: str) -> None:
    looks = (measured("2025-01-10", 13), *(measured(on, 12.6) for on in later))
    assert asked(fan(looks=looks), 5)[0][0] == due


def test_act_when_felt_only_then_it_stays() -> None:
    looks = (measured("2025-01-10", 13), felt("2025-01-12", "none"))
    assert asked(fan(looks=looks), 5) == [("2025-01-24", "2025-01-27")]


def test_act_when_well_below_then_ended() -> None:
    assert asked(fan(looks=(measured("2025-01-10", 13), measured("2025-01-20", 11.4))), 5) == []


def test_act_when_the_owner_says_not_now_then_next_from_that_day() -> None:
    record = fan(
        looks=(measured("2025-01-10", 13),),
        decisions=(Decision("vibration", "not_now", day("2025-01-15")),),
    )
    assert asked(record, 5)[0][0] == "2025-02-14"


def test_act_when_declined_then_the_days_after_it_double() -> None:
    record = fan(
        looks=(measured("2025-01-10", 13), measured("2025-01-20", 13)),
        decisions=(Decision("vibration", "declined", day("2025-01-15")),),
    )
    assert asked(record, 5)[0][0] == "2025-03-21"


@pytest.mark.parametrize("left", [8.0, 5.0])
def test_stop_when_left_below_then_ended(left: float) -> None:
    looks = (measured("2025-01-10", 16), measured("2025-01-10", left, stage="as_left"))
    assert asked(fan(looks=looks), 5) == []


def test_stop_when_left_at_act_then_an_act_of_that_day() -> None:
    looks = (measured("2025-01-10", 16), measured("2025-01-10", 13, stage="as_left"))
    assert asked(fan(looks=looks), 5) == [("2025-01-24", "2025-01-27")]


def test_stop_when_still_there_then_due_since_it_was_first_seen() -> None:
    looks = (measured("2025-01-10", 16), measured("2025-02-10", 17))
    assert asked(fan(looks=looks), 5) == [("2025-01-10", "2025-01-10")]


def test_stop_when_made_safe_then_the_restart_is_owed_instead() -> None:
    away = OutOfService(day("2025-01-10"), restarted_day=day("2025-01-20"))
    assert asked(fan(looks=(measured("2025-01-10", 16),), out_of_service=(away,)), 5) == []


def test_level_when_the_wheel_is_new_then_nothing_stands() -> None:
    new = Action("replaced", "wheel", day("2025-01-10"))
    assert asked(fan(looks=(measured("2025-01-10", 13),), actions=(new,)), 5) == []


def test_level_when_another_speed_is_named_then_a_series_of_its_own() -> None:
    looks = (measured("2025-01-10", 8, hz=60.0), measured("2025-02-10", 8, hz=30.0))
    assert asked(fan(looks=looks), 5) == [("2025-03-12", "2025-03-15")]


def test_level_when_the_wheel_was_cleaned_and_shakes_less_then_a_new_series() -> None:
    looks = (measured("2025-01-10", 12), measured("2025-02-10", 9), measured("2025-03-01", 9))
    cleaning = Event("hood_cleaning", day("2025-02-01"), day("2025-02-01"), wheel_cleaned=True)
    assert asked(fan(looks=looks[:2], events=(cleaning,)), 5) == [("2025-03-12", "2025-03-15")]
    assert asked(fan(looks=looks, events=(cleaning,)), 5) == []


@pytest.mark.parametrize(
    ("grade", "dates"),
    [
        ("none", []),
        ("slight", [("2025-02-09", "2025-02-12")]),
        ("strong", [("2025-01-24", "2025-01-27")]),
        ("violent", [("2025-01-10", "2025-01-10")]),
    ],
)
def test_felt_when_first_then_by_its_anchor(grade: str, dates: list[tuple[str, str]]) -> None:
    assert asked(fan(looks=(felt("2025-01-10", grade),)), 5) == dates


def test_felt_slight_when_seen_before_then_within() -> None:
    looks = (felt("2025-01-10", "slight"), felt("2025-02-10", "none"), felt("2025-03-10", "slight"))
    assert asked(fan(looks=looks), 5) == []


def lasting(on: str, mm_s: float) -> Look:
    marked = {"verdicts": {"vibration": verdict_of(mm_s)}, "lasting": frozenset({"vibration"})}
    return measured(on, mm_s, **marked)


@pytest.mark.parametrize(("mm_s", "dates"), [(8.2, []), (13.0, [("2025-02-15", "2025-02-18")])])
def test_lasting_when_shaking_was_marked_then_silent_until_worse(
    mm_s: float, dates: list[tuple[str, str]]
) -> None:
    later = measured("2025-02-01", mm_s, verdicts={"vibration": verdict_of(mm_s)})
    assert asked(fan(looks=(lasting("2025-01-10", 8), later)), 5) == dates


def test_lasting_when_the_fan_was_balanced_then_a_new_crossing_speaks() -> None:
    balanced = Action("balanced", "wheel", day("2025-01-20"))
    looks = (lasting("2025-01-10", 8), measured("2025-02-01", 8, verdicts={"vibration": "watch"}))
    assert asked(fan(looks=looks, actions=(balanced,)), 5) == [("2025-03-03", "2025-03-06")]


def test_act_when_hushed_and_another_meter_read_low_then_it_can_cross_anew() -> None:
    low = measured("2025-01-27", 5, "phone", verdicts={"vibration": "within"})
    again = measured("2025-02-07", 13, verdicts={"vibration": "act"})
    looks = (lasting("2025-01-10", 13), low, again)
    assert asked(fan(looks=looks), 5) == [("2025-02-21", "2025-02-24")]
