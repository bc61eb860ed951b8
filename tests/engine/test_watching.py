"""Since when a fan is under watch: a look of long ago shows no watch over the years between."""

from __future__ import annotations

from random import Random

import pytest

from schedules.engine.failure_odds import watched_days
from schedules.engine.record import Noted
from schedules.engine.watching import LONGEST_SILENCE_DAYS, watch_begins
from tests.engine.fans import day, fan, walk
from tests.oracle.failure_odds import days_watched

ENTERED, VISITED, LONG_AGO = day("2026-01-10"), day("2024-03-01"), day("2001-03-01")


@pytest.mark.parametrize(
    ("seen", "failed", "begins"),
    [
        ([], [], ENTERED),
        ([VISITED], [], VISITED),
        ([ENTERED + 400], [], ENTERED),
        ([LONG_AGO, VISITED], [], VISITED),
        ([LONG_AGO], [], ENTERED),
        ([ENTERED - LONGEST_SILENCE_DAYS], [], ENTERED - LONGEST_SILENCE_DAYS),
        ([ENTERED - LONGEST_SILENCE_DAYS - 1], [], ENTERED),
        # nobody was silent for five years in a row between 2012 and 2026
        ([day(f"{year}-06-01") for year in (2012, 2016, 2021)], [], day("2012-06-01")),
        # a failure that is counted brings its time along
        ([LONG_AGO, VISITED], [LONG_AGO], LONG_AGO),
    ],
)
def test_watch_then_from_where_regular_looking_started(
    seen: list[int], failed: list[int], begins: int
) -> None:
    assert watch_begins(ENTERED, seen, failed) == begins


def test_watch_when_only_a_look_of_long_ago_then_no_day() -> None:
    assert watched_days(fan(entered_day=ENTERED, looks=(walk("2001-03-01"),))) == 0


@pytest.mark.parametrize("seed", range(40))
def test_days_watched_then_as_counted_one_by_one(seed: int) -> None:
    luck = Random(seed)
    noted = tuple(
        Noted("hinge", "act", ENTERED - luck.choice((30, 900, 1826, 1827, 3000, 7000)), 600)
        for _ in range(3)
    )
    failed = tuple(ENTERED + luck.choice((-2500, -100, 60)) for _ in range(luck.randrange(3)))
    record = fan(entered_day=ENTERED, noted=noted, looks=(walk("2026-05-01"),), failed_days=failed)
    assert watched_days(record) == days_watched(record)
