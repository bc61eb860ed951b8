"""Out of service: the restart check, and what time away does to other rules' days."""

from __future__ import annotations

import pytest

from schedules.engine.due import reckon_one
from schedules.engine.record import Event, FanRecord, Inspection, OutOfService
from tests.engine.fans import day, days, fan, seen, walk


def away(on: str, back: str = "", promised: str = "") -> OutOfService:
    return OutOfService(day(on), day(promised) if promised else None, day(back) if back else None)


@pytest.mark.parametrize(
    ("promised", "dates"),
    [("", ("2025-03-08", "2025-03-11")), ("2025-04-01", ("2025-04-01", "2025-04-04"))],
)
def test_restart_when_made_safe_then_on_the_promised_day_or_in_a_week(
    promised: str, dates: tuple[str, str]
) -> None:
    assert days(fan(out_of_service=(away("2025-03-01", promised=promised),)), 9) == dates


def test_restart_when_back_in_service_then_nothing_is_due() -> None:
    assert days(fan(out_of_service=(away("2025-03-01", "2025-03-05"),)), 9) is None


def _rules(record: FanRecord) -> set[int]:
    return {date.rule for date in reckon_one(record).dates}


def test_fan_when_out_of_service_then_only_inspection_and_restart_speak() -> None:
    looks = (walk("2025-02-01", verdicts={"hinge": "watch"}),)
    inspections = (Inspection(day("2025-02-01"), True),)
    spans = (away("2025-03-01"),)
    record = fan(looks=looks, inspections=inspections, out_of_service=spans)
    assert _rules(record) == {2, 9}


def test_fan_when_made_safe_after_a_day_was_missed_then_that_day_stays() -> None:
    looks = (walk("2025-02-01", verdicts={"hinge": "act"}),)
    record = fan(looks=looks, out_of_service=(away("2025-03-01"),))
    assert days(record, 6) == ("2025-02-15", "2025-02-18")


# An act on the hinge seen on 1 March falls due on the 15th, overdue after the 18th.
@pytest.mark.parametrize(
    ("spans", "dates"),
    [
        ([("2025-03-20", "2025-03-25")], ("2025-03-15", "2025-03-18")),
        ([("2025-03-10", "2025-03-20")], ("2025-03-20", "2025-03-23")),
        ([("2025-03-15", "2025-03-20")], ("2025-03-20", "2025-03-23")),
        ([("2025-03-05", "2025-03-15")], ("2025-03-15", "2025-03-18")),
        ([("2025-03-05", "2025-03-14")], ("2025-03-24", "2025-03-27")),
        ([("2025-03-01", "2025-03-08")], ("2025-03-22", "2025-03-25")),
        ([("2025-02-20", "2025-03-08")], ("2025-03-15", "2025-03-18")),
        (
            [("2025-03-05", "2025-03-08"), ("2025-03-16", "2025-03-28")],
            ("2025-03-28", "2025-03-31"),
        ),
    ],
)
def test_finding_when_fan_was_away_then_that_time_does_not_count(
    spans: list[tuple[str, str]], dates: tuple[str, str]
) -> None:
    looks = (seen("2025-03-01", {"hinge": "act"}),)
    closed = tuple(away(on, back) for on, back in spans)
    assert days(fan(looks=looks, out_of_service=closed), 6) == dates


def test_inspection_when_fan_was_away_then_its_day_stays() -> None:
    inspections = (Inspection(day("2025-02-01"), True),)
    record = fan(inspections=inspections, out_of_service=(away("2025-03-01", "2025-06-01"),))
    assert days(record, 2) == ("2025-05-01", "2025-05-01")


def test_storm_when_fan_was_away_then_due_on_its_return() -> None:
    events = (Event("storm", day("2025-03-01"), day("2025-03-01")),)
    record = fan(events=events, out_of_service=(away("2025-03-02", "2025-03-20"),))
    assert days(record, 7) == ("2025-03-20", "2025-03-24")
