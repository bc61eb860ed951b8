"""Answers that a new fact leaves alone: kept or reckoned again, they are the same."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, replace
from random import Random

import numpy as np
import pytest

from schedules.engine import failure_odds, grease
from schedules.engine.due import BlockDates, reckon
from schedules.engine.history import fold_record, history_dtype
from schedules.engine.parameters import DueParams
from schedules.engine.record import FanRecord, Grease, Look
from schedules.engine.rule import RuleColumns
from schedules.engine.rules import RULE_MODULES
from schedules.engine.untouched import untouched
from tests.oracle.random_records import random_record

PARAMS = DueParams()
PARTS = [
    each.name for each in fields(FanRecord) if each.name not in ("looks", "machines", "calendar")
]


def changed(rng: Random, record: FanRecord) -> FanRecord:
    """The record as it may have stood before: fewer looks, or other facts of one or two kinds."""
    other = random_record(rng)
    parts = {name: getattr(other, name) for name in rng.sample(PARTS, rng.randint(0, 2))}
    left = record.looks[: len(record.looks) - rng.randint(0, 2)]
    calendar = rng.choice([record.calendar] * 4 + [other.calendar])
    return replace(record, looks=left, calendar=calendar, **parts)


def pairs() -> Iterator[tuple[FanRecord, FanRecord]]:
    for seed in range(300):
        rng = Random(seed)
        record = random_record(rng)
        yield changed(rng, record), record


def reckoned(record: FanRecord, kept: dict[int, RuleColumns] | None = None) -> BlockDates:
    calendars = () if record.calendar is None else (record.calendar,)
    index = np.array([len(calendars) - 1], np.int32)
    return reckon(fold_record(record, PARAMS), calendars, index, PARAMS, kept=kept or {})


def in_bytes(block: BlockDates) -> list[bytes]:
    """All that is told, so that no number is no number."""
    told = [np.asarray(each) for each in vars(block).values() if not isinstance(each, tuple)]
    told += [column for rule in block.rules for column in vars(rule).values()]
    return [column.tobytes() for column in told]


def left_alone(before: FanRecord, after: FanRecord) -> list[int]:
    return untouched(fold_record(before, PARAMS).tobytes(), fold_record(after, PARAMS).tobytes())


def test_answers_when_kept_of_random_fans_then_as_reckoned_anew() -> None:
    for before, after in pairs():
        answers = reckoned(before).rules
        kept = {place: answers[place] for place in left_alone(before, after)}
        assert in_bytes(reckoned(after, kept)) == in_bytes(reckoned(after)), (before, after)


def test_random_fans_then_every_rule_is_kept_of_some_and_none_of_all() -> None:
    kept = [place for before, after in pairs() for place in left_alone(before, after)]
    assert all(0 < kept.count(place) < 300 for place in range(len(RULE_MODULES)))


def test_grease_when_read_then_its_own_rule_is_touched() -> None:
    before = FanRecord(739_000, looks=(Look(739_300), Look(739_310)))
    depth = Grease("duct", 300.0, 300.0, 2000.0)
    after = replace(before, looks=(*before.looks, Look(739_310, grease=(depth,))))
    others = [place for place, rule in enumerate(RULE_MODULES) if rule is not grease]
    assert left_alone(before, after) == others


def test_watch_when_longer_then_the_odds_are_touched() -> None:
    before = FanRecord(739_000, looks=(Look(739_300),))
    after = replace(before, looks=(*before.looks, Look(739_310)))
    assert RULE_MODULES.index(failure_odds) not in left_alone(before, after)


@pytest.mark.parametrize("room", [1, 4])
def test_row_when_its_version_or_width_differs_then_nothing_is_kept(room: int) -> None:
    row = fold_record(FanRecord(739_000), PARAMS)
    other = np.zeros(1, history_dtype(room))
    if room == 1:
        other[:] = row
        other["version"] += 1
    assert untouched(other.tobytes(), row.tobytes()) == []
