"""Rule 5b by examples worked out by hand from the rules."""

from __future__ import annotations

import pytest

from schedules.engine.record import Event, FanRecord, Look
from schedules.engine.vibration_step import EVENT_KINDS
from tests.engine.fans import day, days, rule_date
from tests.engine.shaking import felt, shaken, shook

QUIET = (("2025-01-01", 3.0), ("2025-02-01", 3.0))
MARCH_1, MARCH_8 = "2025-03-01", "2025-03-08"


def quiet(*after: Look, **facts: object) -> FanRecord:
    """Two calm readings, then what comes."""
    return shaken(*(shook(on, value) for on, value in QUIET), *after, **facts)


def tipped(on: str, **facts: object) -> Event:
    return Event("hood_cleaning", day(on), day(on), tipped=True, **facts)  # type: ignore[arg-type]


# A quarter of the start-up limit of 7.6 is 1.9 mm/s; calm readings do not scatter.
@pytest.mark.parametrize(("value", "dates"), [(4.9, None), (5.0, ("2025-03-15", "2025-03-18"))])
def test_step_above_a_quarter_of_the_start_up_limit_then_looked_at_in_two_weeks(
    value: float, dates: tuple[str, str] | None
) -> None:
    assert days(quiet(shook(MARCH_1, value)), 5) == dates


def test_step_with_one_earlier_reading_then_nothing_to_compare() -> None:
    assert days(shaken(shook("2025-01-01", 1.0), shook(MARCH_1, 7.0)), 5) is None


# 1.0, 2.0, 3.0: median 2.0, deviations 1, 0, 1: 3 x 1.4826 x 1 = 4.45 mm/s.
@pytest.mark.parametrize(("value", "steps"), [(6.4, False), (6.5, True)])
def test_step_among_scattered_readings_then_three_deviations_count(
    value: float, steps: bool
) -> None:
    earlier = (("2025-01-01", 1.0), ("2025-01-15", 2.0), ("2025-02-01", 3.0))
    record = shaken(*(shook(*each) for each in earlier), shook(MARCH_1, value))
    assert (days(record, 5) is not None) is steps


@pytest.mark.parametrize(
    "look",
    [
        shook(MARCH_8, 5.0),
        shook(MARCH_8, 5.0, meter="phone"),
        shook(MARCH_8, 5.0, exact=False),
        felt(MARCH_8, "none"),
    ],
)
def test_step_when_looked_at_again_by_any_means_then_settled(look: Look) -> None:
    assert days(quiet(shook(MARCH_1, 6.0), look), 5) is None


def test_step_when_another_point_is_looked_at_then_stands() -> None:
    other = shook(MARCH_8, 1.0, point="motor_axial")
    assert days(quiet(shook(MARCH_1, 6.0), other), 5) is not None


# 5.0 steps up from 3.0; with the next, 4.8, it is the new baseline: 4.9, so 6.7 is no step, 6.9 is.
@pytest.mark.parametrize(("later", "dates"), [(6.7, None), (6.9, ("2025-04-29", "2025-05-02"))])
def test_step_when_taken_then_a_new_baseline(later: float, dates: tuple[str, str] | None) -> None:
    looks = (shook(MARCH_1, 5.0), shook("2025-04-01", 4.8), shook("2025-04-15", later))
    assert days(quiet(*looks), 5) == dates


@pytest.mark.parametrize("qualified", [{"exact": False}, {"stage": "as_left"}])
def test_step_by_a_qualified_or_as_left_reading_then_none(qualified: dict[str, object]) -> None:
    assert days(quiet(shook(MARCH_1, 6.0, **qualified)), 5) is None


@pytest.mark.parametrize("series", [{"detector": "rms"}, {"meter": "phone"}, {"hz": 30.0}])
def test_step_in_another_series_then_nothing_to_compare(series: dict[str, object]) -> None:
    assert days(quiet(shook(MARCH_1, 6.0, **series)), 5) is None


# What lay between the readings: the cleaning that tipped the fan before the later storm.
@pytest.mark.parametrize(
    ("events", "kind", "on"),
    [
        ((tipped("2025-02-10"),), "hood_cleaning_tipped", "2025-02-10"),
        (
            (tipped("2025-02-10"), Event("storm", day("2025-02-20"), day("2025-02-20"))),
            "hood_cleaning_tipped",
            "2025-02-10",
        ),
        ((Event("storm", day("2025-02-20"), day("2025-02-20")),), "storm", "2025-02-20"),
    ],
)
def test_step_with_events_between_then_the_likeliest_is_named(
    events: tuple[Event, ...], kind: str, on: str
) -> None:
    found = rule_date(quiet(shook(MARCH_1, 6.0), events=events), 5)
    assert found is not None
    assert (EVENT_KINDS[int(found.args["event_kind"])], found.args["event_day"]) == (kind, day(on))


def test_step_with_an_event_before_both_readings_then_none_named() -> None:
    found = rule_date(quiet(shook(MARCH_1, 6.0), events=(tipped("2025-01-10"),)), 5)
    assert found is not None
    assert "event_day" not in found.args


def test_step_in_its_evidence_then_value_and_median_of_those_before() -> None:
    found = rule_date(quiet(shook(MARCH_1, 6.0)), 5)
    assert found is not None
    told = {name: found.args[name] for name in ("value_mm_s", "limit_mm_s", "seen_day")}
    assert (found.why, told) == (
        "step", {"value_mm_s": 6.0, "limit_mm_s": 3.0, "seen_day": day(MARCH_1)}
    )  # fmt: skip


def test_step_when_an_act_asks_for_the_same_day_then_the_step_is_told_and_what_is_owed() -> None:
    # 13.4 mm/s is at the alarm and 10.4 above the median: both look again two weeks later.
    found = rule_date(quiet(shook(MARCH_1, 13.4), events=(tipped("2025-02-20"),)), 5)
    assert found is not None
    assert (
        found.why, found.due_day, found.overdue_after_day,
        EVENT_KINDS[int(found.args["event_kind"])], found.args["nth"],
    ) == ("step", day("2025-03-15"), day("2025-03-18"), "hood_cleaning_tipped", 1)  # fmt: skip


def test_step_when_the_act_is_of_another_point_then_the_act_is_told() -> None:
    both = (
        shook(MARCH_1, 6.0, minute=600),
        shook(MARCH_1, 13.4, minute=601, point="fan_radial"),
    )  # fmt: skip
    found = rule_date(quiet(*both), 5)
    assert found is not None
    assert (found.why, found.due_day, "verdict" in found.args) == ("level", day("2025-03-15"), True)


def test_step_to_a_stop_then_the_stop_is_told() -> None:
    found = rule_date(quiet(shook(MARCH_1, 16.0)), 5)
    assert found is not None
    assert (found.why, found.due_day) == ("level", day(MARCH_1))
