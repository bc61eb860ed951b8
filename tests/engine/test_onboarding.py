"""A fleet new to us: nothing due before each fan's day, everything owed on it, stops at once."""

from __future__ import annotations

from schedules.engine.record import Event, FanRecord
from tests.engine.fans import day, days, fan, seen, walk

ON = day("2025-04-01")
OLD = walk("2024-10-01", here=False, verdicts={"hinge": "act"})


def _new(**facts: object) -> FanRecord:
    return fan(onboarding_day=ON, **facts)


def test_onboarding_when_never_seen_then_walk_and_inspection_on_that_day() -> None:
    record = _new()
    assert (days(record, 1), days(record, 2)) == (("2025-04-01", "2025-04-15"),) * 2


def test_onboarding_when_days_passed_long_ago_then_owed_on_that_day() -> None:
    record = _new(looks=(OLD,))
    assert (days(record, 1), days(record, 6)) == (("2025-04-01", "2025-04-15"),) * 2


def test_onboarding_when_due_just_after_then_only_overdue_is_put_off() -> None:
    storm = Event("storm", ON, ON)
    assert days(_new(events=(storm,)), 7) == ("2025-04-04", "2025-04-15")


def test_onboarding_when_stop_on_record_then_not_held_back() -> None:
    record = _new(looks=(walk("2024-10-01", here=False, verdicts={"guard": "stop"}),))
    assert days(record, 6) == ("2024-10-01", "2024-10-01")


def test_onboarding_when_a_stop_hides_behind_an_older_act_then_the_stop_is_due() -> None:
    looks = (OLD, seen("2025-01-10", {"guard": "stop"}, here=False))
    assert days(_new(looks=looks), 6) == ("2025-01-10", "2025-01-10")


def test_onboarding_when_seen_here_then_over() -> None:
    record = _new(looks=(OLD, seen("2025-03-01", {"curb": "within"})))
    assert days(record, 6) == ("2024-10-15", "2024-10-18")


def test_onboarding_when_no_day_was_given_then_rules_as_usual() -> None:
    assert days(fan(looks=(OLD,)), 6) == ("2024-10-15", "2024-10-18")
