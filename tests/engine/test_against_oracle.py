"""The engine against the slow oracle: the same answer for any fan, alone or in a block."""

from __future__ import annotations

import os
from collections.abc import Callable
from random import Random

import numpy as np
from hypothesis import given, settings

from schedules.engine.due import reckon, reckon_one, told
from schedules.engine.history import fold
from schedules.engine.parameters import DueParams
from schedules.engine.record import Calendar, FanRecord, Reckoned
from tests.oracle.random_records import random_record
from tests.oracle.reckon import answer, oracle_reckon
from tests.oracle.shrink import smallest
from tests.oracle.shrink import told as in_words
from tests.oracle.strategies import records

# A longer run: ORACLE_RECORDS=20000 ORACLE_SEED=7 pytest tests/engine/test_against_oracle.py
COUNT = int(os.environ.get("ORACLE_RECORDS", "400"))
SEED = int(os.environ.get("ORACLE_SEED", "0"))
PARAMS = DueParams()
WIDE = 16


def differs(record: FanRecord, reckoner: Callable[[FanRecord], Reckoned] = reckon_one) -> bool:
    return answer(reckoner(record)) != answer(oracle_reckon(record))


def complaint(record: FanRecord) -> str:
    """The smallest record that shows the difference, and what each says of it."""
    small = smallest(record, differs)
    oracle, engine = answer(oracle_reckon(small)), answer(reckon_one(small))
    return f"{in_words(small)}\n oracle {oracle}\n engine {engine}"


def in_a_block(fans: list[FanRecord]) -> list[Reckoned]:
    calendars: list[Calendar] = []
    index = np.full(len(fans), -1, np.int32)
    for place, record in enumerate(fans):
        if record.calendar is not None:
            index[place] = len(calendars)
            calendars.append(record.calendar)
    rows = np.concatenate([fold(record, PARAMS, WIDE) for record in fans])
    block = reckon(rows, calendars, index, PARAMS)
    return [told(block, row) for row in range(len(fans))]


def test_engine_when_asked_of_random_fans_one_by_one_then_agrees_with_the_oracle() -> None:
    fans = (random_record(Random(seed)) for seed in range(SEED, SEED + COUNT))
    first = next((record for record in fans if differs(record)), None)
    assert first is None, complaint(first)


def test_engine_when_asked_of_random_fans_in_a_block_then_agrees_with_the_oracle() -> None:
    fans = [random_record(Random(seed)) for seed in range(SEED, SEED + min(COUNT, 2000))]
    engine = [answer(reckoned) for reckoned in in_a_block(fans)]
    assert engine == [answer(oracle_reckon(record)) for record in fans]


@settings(max_examples=100, deadline=None, derandomize=True)
@given(records())
def test_engine_when_asked_of_any_fan_then_agrees_with_the_oracle(record: FanRecord) -> None:
    assert not differs(record), complaint(record)
