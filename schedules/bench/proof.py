"""Whether packed blocks give every fan of the sample the dates its record gives it alone."""

from __future__ import annotations

import importlib
import importlib.util
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from schedules.due.answers import read_answer
from schedules.due.reckoning import STANDARD
from schedules.due.records import fan_records
from schedules.engine.due import reckon_one
from schedules.engine.record import FanRecord, Reckoned
from schedules.models import DueState

ORACLE = "tests.oracle.reckon"
ORACLE_FANS, ORACLE_READINGS = 100, 10
"""It counts every order of a series: a long one takes it minutes."""


@dataclass(frozen=True)
class Proof:
    """Fans compared, fans that differ, and of how many the tests' slow oracle was asked too."""

    fans: int
    differences: int
    oracle_fans: int


def compare(fan_ids: Sequence[int]) -> Proof:
    """Compare what is stored with each fan reckoned alone from its record, and by the oracle."""
    stored = dict(DueState.objects.filter(fan__in=fan_ids).values_list("fan_id", "dates"))
    agrees = _oracle()
    differences = asked = 0
    for fan, build in fan_records(fan_ids):
        record = build()
        alone = reckon_one(record, STANDARD)
        same = read_answer(stored[fan["id"]]) == (list(alone.dates), list(alone.cannot_tell))
        if agrees and asked < ORACLE_FANS and _readings(record) <= ORACLE_READINGS:
            asked += 1
            same = agrees(record, alone) and same
        differences += not same
    return Proof(len(fan_ids), differences, asked)


def _readings(record: FanRecord) -> int:
    return sum(len(look.vibration) for look in record.looks)


def _oracle() -> Callable[[FanRecord, Reckoned], bool] | None:
    """The oracle's word on a fan; None where only the product is installed, without its tests."""
    try:
        found = importlib.util.find_spec(ORACLE)
    except ModuleNotFoundError:
        return None
    if found is None:
        return None
    oracle: Any = importlib.import_module(ORACLE)

    def agrees(record: FanRecord, reckoned: Reckoned) -> bool:
        return bool(oracle.answer(reckoned) == oracle.answer(oracle.oracle_reckon(record)))

    return agrees
