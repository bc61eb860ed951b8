"""The oracle's code inspections against NFPA 96's table and days counted by hand."""

from __future__ import annotations

import pytest

from schedules.engine.record import Cooking, Inspection
from tests.engine.fans import day, fan
from tests.engine.given import case
from tests.oracle.asked import asked
from tests.oracle.inspection import MONTHS
from tests.oracle.reckon import oracle_reckon

CLASS_OF = {
    "solid fuel": "solid_fuel", "24-hour": "high", "charbroiling": "high", "wok": "high",
    "moderate-volume": "moderate", "church": "low", "day camp": "low",
    "seasonal business": "low", "senior center": "low",
}  # fmt: skip
IN_WORDS = {1: "monthly", 3: "quarterly", 6: "semiannually", 12: "annually"}


def inspected(*on: str) -> tuple[Inspection, ...]:
    return tuple(Inspection(day(each), qualified=True) for each in on)


def cooks(**since: str) -> tuple[Cooking, ...]:
    return tuple(Cooking(day(on), (name,)) for name, on in since.items())


# NF-01: NFPA 96 Table 12.4 (11.4 and 11.3 in earlier editions).
def test_inspection_when_cooking_is_named_then_as_often_as_the_table() -> None:
    inputs, expected = case("NF-01")
    assert [IN_WORDS[MONTHS[CLASS_OF[kind]]] for kind in inputs["types"]] == expected["frequency"]


def test_inspection_when_done_on_its_day_then_the_months_end_comes_back() -> None:
    record = fan(
        cooking=cooks(solid_fuel="2020-01-01"), inspections=inspected("2025-01-31", "2025-02-28")
    )
    assert asked(record, 2) == [("2025-03-31", "2025-03-31")]


def test_inspection_when_done_on_another_day_then_counts_from_there() -> None:
    record = fan(
        cooking=cooks(solid_fuel="2020-01-01"), inspections=inspected("2025-01-31", "2025-02-27")
    )
    assert asked(record, 2)[0][0] == "2025-03-27"


def test_inspection_when_kitchen_turns_stricter_then_due_that_day_at_the_earliest() -> None:
    cooking = cooks(low="2020-01-01", high="2025-06-01")
    assert asked(fan(cooking=cooking, inspections=inspected("2025-01-15")), 2)[0][0] == "2025-06-01"


def test_inspection_when_kitchen_turns_milder_then_counts_from_the_last_one() -> None:
    cooking = cooks(high="2020-01-01", low="2025-05-01")
    record = fan(cooking=cooking, inspections=inspected("2025-01-01", "2025-04-01"))
    assert asked(record, 2)[0][0] == "2026-04-01"


@pytest.mark.parametrize("cooking", [(), (Cooking(1, ("unheard_of",)),)])
def test_inspection_when_cooking_is_unknown_then_quarterly(cooking: tuple[Cooking, ...]) -> None:
    assert asked(fan(cooking=cooking, inspections=inspected("2025-01-15")), 2)[0][0] == "2025-04-15"


def test_inspection_when_done_by_someone_unqualified_then_settles_nothing() -> None:
    record = fan(inspections=(Inspection(day("2025-01-15"), qualified=False),))
    assert asked(record, 2) == [("2024-12-15", "2024-12-15")]


def test_inspection_when_none_is_on_record_then_cannot_tell() -> None:
    assert oracle_reckon(fan()).cannot_tell == ("no_inspection",)
