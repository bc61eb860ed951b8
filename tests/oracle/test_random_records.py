"""What must hold of the oracle for any fan, and of the random fans themselves."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from random import Random

import pytest
from hypothesis import given, settings

from schedules.engine.record import FanRecord
from tests.oracle.random_records import random_record
from tests.oracle.reckon import oracle_reckon
from tests.oracle.shrink import smallest
from tests.oracle.strategies import records

SAMPLE = [random_record(Random(seed)) for seed in range(300)]


@settings(max_examples=60, deadline=None)
@given(records())
def test_any_fan_when_reckoned_then_no_overdue_precedes_its_due(record: FanRecord) -> None:
    assert all(d.due_day <= d.overdue_after_day for d in oracle_reckon(record).dates)


def test_random_fan_when_seed_is_the_same_then_the_same_fan() -> None:
    assert [repr(random_record(Random(seed))) for seed in range(5)] == [
        repr(record) for record in SAMPLE[:5]
    ]


@pytest.mark.parametrize("rule", range(1, 10))
def test_random_fans_when_many_then_every_rule_speaks_of_some(rule: int) -> None:
    spoken = Counter(d.rule for record in SAMPLE for d in oracle_reckon(record).dates)
    assert spoken[rule] >= 10


@pytest.mark.parametrize("part", ["level", "step", "trend"])
def test_random_fans_when_many_then_every_part_of_rule_5_speaks_of_some(part: str) -> None:
    why = [d.why for record in SAMPLE for d in oracle_reckon(record).dates if d.rule == 5]
    assert sum(each.startswith(part) for each in why) >= 4


@pytest.mark.parametrize(
    "code", ["no_inspection", "no_bearing_data", "no_speed", "no_bore", "no_calendar"]
)
def test_random_fans_when_many_then_everything_is_missing_somewhere(code: str) -> None:
    assert any(code in oracle_reckon(record).cannot_tell for record in SAMPLE)


def _day(fact: object) -> int:
    return next(getattr(fact, name) for name in ("day", "valid_from_day") if hasattr(fact, name))


def _told_backwards(record: FanRecord) -> FanRecord:
    """The same facts in another order of telling, where no two share a day."""
    told = {name: getattr(record, name) for name in ("inspections", "cooking", "meter")}
    turned = {
        name: facts[::-1]
        for name, facts in told.items()
        if len({_day(fact) for fact in facts}) == len(facts)
    }
    return replace(record, **turned)


def test_random_fans_when_told_in_another_order_then_the_same_answer() -> None:
    backwards = [oracle_reckon(_told_backwards(record)) for record in SAMPLE]
    assert backwards == [oracle_reckon(record) for record in SAMPLE]


def test_smallest_when_one_look_matters_then_only_that_is_left() -> None:
    record = next(r for r in SAMPLE if len(r.looks) > 5 and r.actions and r.machines)
    left = smallest(record, lambda r: any(look.day == record.looks[3].day for look in r.looks))
    assert (len(left.looks), left.actions, left.looks[0].verdicts) == (1, (), {})
