"""Rule 2 against the inspection table of NFPA 96 and month arithmetic done by hand."""

from __future__ import annotations

import pytest

from schedules.engine.due import reckon_one
from schedules.engine.record import Cooking, Inspection
from tests.engine.fans import day, days, fan, rule_date


def inspected(*on: str, qualified: bool = True) -> tuple[Inspection, ...]:
    return tuple(Inspection(day(each), qualified) for each in on)


def cooks(*entries: tuple[str, str]) -> tuple[Cooking, ...]:
    return tuple(Cooking(day(since), tuple(names.split())) for since, names in entries)


# Case NF-01: NFPA 96 table 12.4 (11.4 and 11.3 in earlier editions): solid fuel monthly, high
# volume (24-hour, charbroiling, wok) quarterly, moderate semiannually, low (church, day camp,
# seasonal, senior centre) annually.  Confirmed there by two independent texts.
@pytest.mark.parametrize(
    ("classes", "due"),
    [
        ("solid_fuel", "2025-02-28"),
        ("high", "2025-04-30"),
        ("moderate", "2025-07-31"),
        ("low", "2026-01-31"),
        ("low high moderate", "2025-04-30"),
        ("high solid_fuel", "2025-02-28"),
        ("", "2025-04-30"),
        ("low steam", "2026-01-31"),
    ],
)
def test_inspection_when_class_is_cooked_then_comes_at_its_months(classes: str, due: str) -> None:
    record = fan(inspections=inspected("2025-01-31"), cooking=cooks(("2024-01-01", classes)))
    assert days(record, 2) == (due, due)


def test_inspection_when_cooking_unknown_then_three_months_and_said_so() -> None:
    found = rule_date(fan(inspections=inspected("2025-01-31")), 2)
    assert found is not None
    assert (found.why, found.args["months"]) == ("unknown_class", 3)


def test_inspection_when_kept_on_its_day_then_a_31st_does_not_slide() -> None:
    done = inspected("2025-01-31", "2025-02-28", "2025-03-31")
    record = fan(inspections=done, cooking=cooks(("2024-01-01", "solid_fuel")))
    assert days(record, 2) == ("2025-04-30", "2025-04-30")


def test_inspection_when_kept_on_its_day_then_counts_from_the_anchor() -> None:
    done = inspected("2025-01-31", "2025-02-28")
    record = fan(inspections=done, cooking=cooks(("2024-01-01", "solid_fuel")))
    assert days(record, 2) == ("2025-03-31", "2025-03-31")


def test_inspection_when_done_early_then_counts_from_that_day() -> None:
    done = inspected("2025-01-31", "2025-02-27")
    record = fan(inspections=done, cooking=cooks(("2024-01-01", "solid_fuel")))
    assert days(record, 2) == ("2025-03-27", "2025-03-27")


def test_inspection_when_two_on_one_day_then_they_are_one() -> None:
    done = inspected("2025-01-31", "2025-02-28", "2025-02-28")
    record = fan(inspections=done, cooking=cooks(("2024-01-01", "solid_fuel")))
    assert days(record, 2) == ("2025-03-31", "2025-03-31")


@pytest.mark.parametrize(
    ("turns", "due"),
    [
        ("2025-02-10", "2025-02-28"),  # stricter before the month has passed: the month
        ("2025-03-20", "2025-03-20"),  # after it: the day the new class begins
        ("2025-07-31", "2025-07-31"),  # the old day comes first
        ("2025-09-01", "2025-07-31"),
    ],
)
def test_inspection_when_kitchen_turns_to_solid_fuel_then_comes_sooner(
    turns: str, due: str
) -> None:
    cooking = cooks(("2024-01-01", "moderate"), (turns, "solid_fuel"))
    assert days(fan(inspections=inspected("2025-01-31"), cooking=cooking), 2) == (due, due)


def test_inspection_when_kitchen_turns_milder_before_the_day_then_comes_later() -> None:
    cooking = cooks(("2024-01-01", "high"), ("2025-04-29", "low"))
    record = fan(inspections=inspected("2025-01-31"), cooking=cooking)
    assert days(record, 2) == ("2026-01-31", "2026-01-31")


def test_inspection_when_milder_only_from_its_day_on_then_the_day_moves() -> None:
    cooking = cooks(("2024-01-01", "high"), ("2025-05-01", "low"))
    record = fan(inspections=inspected("2025-01-31"), cooking=cooking)
    assert days(record, 2) == ("2025-04-30", "2025-04-30")


# Solid fuel kept monthly since 1 January, last on 1 March: the anchor would give 1 January 2028.
def test_inspection_when_class_turns_milder_then_its_months_run_from_the_last_one() -> None:
    done = inspected("2025-01-01", "2025-02-01", "2025-03-01")
    cooking = cooks(("2024-01-01", "solid_fuel"), ("2025-03-15", "low"))
    assert days(fan(inspections=done, cooking=cooking), 2) == ("2026-03-01", "2026-03-01")


# High volume kept since 1 January, last on 1 July: the anchor would give 5 July.
def test_inspection_when_class_turns_stricter_then_its_months_run_from_the_last_one() -> None:
    done = inspected("2025-01-01", "2025-04-01", "2025-07-01")
    cooking = cooks(("2024-01-01", "high"), ("2025-07-05", "solid_fuel"))
    assert days(fan(inspections=done, cooking=cooking), 2) == ("2025-08-01", "2025-08-01")


def test_inspection_when_before_the_first_class_then_that_class_holds() -> None:
    cooking = cooks(("2026-01-01", "solid_fuel"))
    record = fan(inspections=inspected("2025-01-31"), cooking=cooking)
    assert days(record, 2) == ("2025-02-28", "2025-02-28")


def test_inspection_when_none_on_record_then_cannot_tell_and_owed() -> None:
    record = fan()
    assert "no_inspection" in reckon_one(record).cannot_tell
    assert days(record, 2) == ("2024-12-15", "2024-12-15")


def test_inspection_when_person_not_qualified_then_settles_nothing() -> None:
    record = fan(inspections=inspected("2025-01-31", qualified=False))
    assert days(record, 2) == ("2024-12-15", "2024-12-15")
