"""The packed history: wide enough for every fan, dated by what folded it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fleet.quantities import SEEN
from schedules.engine.due import reckon_one
from schedules.engine.history import (
    ROOMS,
    VERSION,
    fold,
    fold_record,
    history_dtype,
    history_version,
    room_of,
)
from schedules.engine.parameters import DueParams
from schedules.engine.record import FanRecord, Grease, Look
from schedules.engine.rule import HistoryOverflowError
from tests.engine.fans import day, days, fan, seen, walk
from tests.oracle.reckon import answer, oracle_reckon

PARAMS = DueParams()
SUBJECTS = [quantity.name for quantity in SEEN if quantity.name != "vibration_felt"]


def _faulty(count: int) -> FanRecord:
    return fan(looks=(seen("2025-03-01", dict.fromkeys(SUBJECTS[:count], "watch")),))


def test_fold_when_more_is_open_than_a_row_holds_then_says_so() -> None:
    with pytest.raises(HistoryOverflowError, match=r"finding_subject holds 20, .* room for 6"):
        fold(_faulty(20), PARAMS)


def test_fold_record_when_more_is_open_then_row_is_wider() -> None:
    assert fold_record(_faulty(20), PARAMS).dtype == history_dtype(4)


def test_reckoning_when_row_is_wider_then_dates_are_the_same() -> None:
    assert days(_faulty(20), 6) == days(_faulty(1), 6)


def test_fold_when_room_is_larger_then_same_facts() -> None:
    record = fan(looks=(walk("2025-03-01", verdicts={"hinge": "act"}),))
    narrow, wide = fold(record, PARAMS, 1), fold(record, PARAMS, 4)
    assert np.array_equal(narrow["finding_seen_day"][0], wide["finding_seen_day"][0, :6])


def test_row_when_stored_and_read_then_unchanged() -> None:
    row = fold_record(_faulty(3), PARAMS)
    assert np.frombuffer(row.tobytes(), history_dtype(1)).tobytes() == row.tobytes()


@pytest.mark.parametrize("room", ROOMS)
def test_room_of_when_width_is_a_rows_then_its_room(room: int) -> None:
    assert room_of(history_dtype(room).itemsize) == room


def test_dates_of_a_duct_read_every_other_day_for_years_then_as_the_oracle_says() -> None:
    depths = (Grease("duct", 100.0 + n, 125.0 + n, 2000.0) for n in range(400))
    begin = day("2023-01-01")
    record = fan(looks=tuple(Look(begin + 2 * n, grease=(d,)) for n, d in enumerate(depths)))
    assert answer(reckon_one(record)) == answer(oracle_reckon(record))


def test_room_of_when_width_is_nobodys_then_refused() -> None:
    with pytest.raises(ValueError, match="17 bytes"):
        room_of(17)


def test_row_when_folded_then_carries_the_version() -> None:
    assert fold_record(fan(), PARAMS)["version"][0] == VERSION


def test_version_when_a_setting_differs_then_differs() -> None:
    other = replace(PARAMS, walk=replace(PARAMS.walk, grace_days=10))
    assert history_version(other) != history_version(PARAMS)
