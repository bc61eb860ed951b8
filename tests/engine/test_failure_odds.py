"""Rule 8: a position that has failed before is seen sooner, by how often it fails."""

from __future__ import annotations

from dataclasses import replace
from random import Random
from typing import Any

import pytest

from schedules.engine.due import reckon_one
from schedules.engine.parameters import DueParams
from schedules.engine.record import FailurePrior, FanRecord, Machine, Noted, OutOfService
from tests.engine.fans import day, days, fan, rule_date, walk
from tests.oracle.asked import asked
from tests.oracle.random_records import random_record

RULE = 8
WALKED = "2026-01-01"


def failing(losses: int, watched_days: int, **facts: Any) -> FanRecord:
    """Last walked through on 1 January 2026 after so many days on record, with so many losses."""
    end = day(WALKED)
    told = {"entered_day": end - watched_days, "looks": (walk(WALKED),)}
    failed_days = tuple(end - watched_days + 1 + place for place in range(losses))
    return fan(**{**told, "failed_days": failed_days, **facts})


def test_rate_then_as_in_a_textbook() -> None:
    # Gelman et al., Bayesian Data Analysis, 3rd ed., 2.6 (from memory): prior Gamma(3, 5),
    # 30 events over an exposure of 20 make Gamma(33, 25), mean 1.32.  0.1 / (0.6 x 1.32) years are
    # 46.1 days.
    record = failing(30, 20 * 1461 // 4, prior=FailurePrior(3.0, 0.6, 40))
    found = rule_date(record, RULE)
    assert found
    assert found.args["rate_a_year"] == pytest.approx(1.32)
    assert days(record, RULE) == ("2026-02-16", "2026-03-02")


HAND = [
    # (1 + 7) / (1 / 0.3 + 4) = 1.0909 a year; 0.1 / (0.6 x 1.0909) years are 55.8 days
    (failing(7, 1461), ("2026-02-25", "2026-03-11")),
    # (1 + 60) / 7.33 a year: 7.3 days, so the least there is
    (failing(60, 1461), ("2026-01-15", "2026-01-29")),
    # (1 + 2) / 7.33 a year: 148.8 days, beyond the two months of rule 1
    (failing(2, 1461), ("2026-03-01", "2026-03-15")),
    # a belt drive is walked every month
    (failing(7, 1461, looks=(walk(WALKED, belt=True),), machines=(Machine(0, belt_drive=True),)),
     ("2026-02-01", "2026-02-15")),
    # of two losses on one day one counts, so there is but one
    (failing(0, 1461, failed_days=(day("2025-05-05"),) * 2), None),
    (failing(1, 1461), None),
    (failing(7, 1461, looks=()), None),
    # six of seven in the first two machines' time: the position keeps them
    (failing(7, 1461, machines=(Machine(0), Machine(day("2022-01-08"), first=False),
                                Machine(day("2022-01-20"), first=False))),
     ("2026-02-25", "2026-03-11")),
    # heard of late, of a day three years before anything else on record: 2557 days, so
    # (1 + 10) / (1 / 0.3 + 7.0007) = 1.0645 a year and 57.2 days
    (failing(9, 1461, failed_days=(day("2019-01-01"), *(day("2025-01-01") + n for n in range(9)))),
     ("2026-02-27", "2026-03-13")),
]  # fmt: skip


@pytest.mark.parametrize(("record", "found"), HAND)
def test_date_when_reckoned_by_hand_then_the_same(
    record: FanRecord, found: tuple[str, str] | None
) -> None:
    assert (days(record, RULE), asked(record, RULE)) == (found, [found] if found else [])


def test_date_when_equal_to_the_walk_through_then_that_is_named() -> None:
    due = reckon_one(failing(2, 1461, cooking=())).dates
    assert [date.rule for date in due if date.due_day == day("2026-03-01")] == [1, RULE]


def test_time_out_of_service_then_under_watch_no_longer_and_the_date_moves_by_it() -> None:
    # Of 1461 days 365 away leave 1096: (1 + 7) / (10 / 3 + 3.0007) = 1.2631 a year, 48.2 days.
    away = OutOfService(day("2023-01-01"), restarted_day=day("2024-01-01"))
    again = OutOfService(day("2026-01-10"), restarted_day=day("2026-01-20"))
    record = failing(7, 1461, out_of_service=(away, again))
    assert days(record, RULE) == ("2026-02-28", "2026-03-14")
    assert asked(record, RULE) == [("2026-02-28", "2026-03-14")]


def test_fan_out_of_service_then_silent() -> None:
    record = failing(7, 1461, out_of_service=(OutOfService(day("2026-01-10")),))
    assert days(record, RULE) is None


def test_fan_still_waiting_for_its_first_visit_then_not_before_its_day() -> None:
    looks = (walk(WALKED, here=False),)
    record = failing(7, 1461, looks=looks, onboarding_day=day("2026-05-01"))
    assert days(record, RULE) == ("2026-05-01", "2026-05-15")


def test_prior_then_says_whether_it_was_fitted_or_assumed() -> None:
    told = [
        rule_date(failing(7, 1461, prior=prior), RULE)
        for prior in (None, FailurePrior(0.8, 0.2, 41))
    ]
    assert [(t.why, t.args.get("prior_fans")) for t in told if t] == [
        ("assumed_prior", None), ("fitted_prior", 41)
    ]  # fmt: skip


def test_numbers_when_overridden_then_in_force() -> None:
    changed = DueParams().overridden(
        {
            "odds.preventable_share": 1.0, "odds.odds": 0.05, "odds.least_losses": 3,
            "odds.least_days": 20, "odds.grace_days": 5,
        }
    )  # fmt: skip
    # 0.05 / 1.0909 years are 16.7 days, but 20 are left between two
    assert days(failing(7, 1461), RULE, changed) == ("2026-01-21", "2026-01-26")
    assert days(failing(2, 1461), RULE, changed) is None


def test_one_more_loss_found_at_the_last_visit_never_moves_the_date_later() -> None:
    told = 0
    for record in (random_record(Random(seed)) for seed in range(400)):
        last = max((look.day for look in record.looks), default=0)
        before = rule_date(record, RULE)
        if before is None or max(record.failed_days) >= last:
            continue
        found = Noted("motor", "motor", "act", last)
        same = replace(record, noted=(*record.noted, found))
        worse = replace(same, failed_days=(*record.failed_days, last))
        after, without = rule_date(worse, RULE), rule_date(same, RULE)
        assert after
        assert without
        assert after.due_day <= without.due_day
        told += 1
    assert told >= 20
