"""The oracle's spans out of service and first imports."""

from __future__ import annotations

import pytest

from schedules.engine.record import FanRecord, Inspection, OutOfService
from tests.engine.fans import day, fan, seen, walk
from tests.oracle.asked import asked

WALK = walk("2025-01-31")


def away(
    since: str, until: str | None = None, promised: str | None = None
) -> tuple[OutOfService, ...]:
    days = [on and day(on) for on in (since, promised, until)]
    return (OutOfService(*days),)  # type: ignore[arg-type]


@pytest.mark.parametrize(("promised", "due"), [(None, "2025-03-08"), ("2025-03-20", "2025-03-20")])
def test_restart_when_out_of_service_then_on_the_promised_day(promised: str, due: str) -> None:
    record = fan(looks=(WALK,), out_of_service=away("2025-03-01", promised=promised))
    assert asked(record, 9)[0][0] == due


@pytest.mark.parametrize(
    ("since", "dates"), [("2025-03-31", []), ("2025-04-01", [("2025-03-31", "2025-04-14")])]
)
def test_date_when_the_fan_is_out_of_service_then_only_if_owed_before(
    since: str, dates: list[tuple[str, str]]
) -> None:
    assert asked(fan(looks=(WALK,), out_of_service=away(since)), 1) == dates


@pytest.mark.parametrize(
    ("since", "until", "due"),
    [
        ("2025-02-10", "2025-02-20", "2025-04-10"),  # ten days later
        ("2025-03-25", "2025-04-05", "2025-04-05"),  # passed meanwhile: the restart day
        ("2025-04-01", "2025-04-05", "2025-03-31"),  # missed before
        ("2025-01-31", "2025-02-10", "2025-04-10"),  # made safe on the day of the look
        ("2025-01-10", "2025-01-20", "2025-03-31"),  # looked at since
    ],
)
def test_date_when_the_fan_was_out_of_service_then_moved_by_the_time_away(
    since: str, until: str, due: str
) -> None:
    assert asked(fan(looks=(WALK,), out_of_service=away(since, until)), 1)[0][0] == due


def test_inspection_when_the_fan_is_out_of_service_then_stays() -> None:
    record = fan(
        inspections=(Inspection(day("2025-01-15"), qualified=True),),
        out_of_service=away("2025-02-01", "2025-03-01"),
    )
    assert asked(record, 2) == [("2025-04-15", "2025-04-15")]


def imported(**facts: object) -> FanRecord:
    return fan(onboarding_day=day("2025-03-01"), **facts)


def test_first_import_when_nothing_is_known_then_all_on_the_fans_own_day() -> None:
    assert [asked(imported(), rule) for rule in (1, 2)] == [
        [("2025-03-01", "2025-03-15")],
        [("2025-03-01", "2025-03-15")],
    ]


def test_first_import_when_a_date_comes_later_then_it_stays() -> None:
    record = imported(looks=(walk("2025-01-31", here=False),))
    assert asked(record, 1) == [("2025-03-31", "2025-04-14")]


@pytest.mark.parametrize(
    ("verdict", "dates"),
    [("act", [("2025-03-01", "2025-03-15")]), ("stop", [("2025-01-10", "2025-01-10")])],
)
def test_first_import_when_a_finding_is_old_then_waits_unless_stop(
    verdict: str, dates: list[tuple[str, str]]
) -> None:
    looks = (seen("2025-01-10", {"curb": verdict}, here=False),)
    assert asked(imported(looks=looks), 6) == dates


def test_first_import_when_checked_here_then_no_more_waiting() -> None:
    looks = (seen("2025-01-10", {"curb": "act"}),)
    assert asked(imported(looks=looks), 6) == [("2025-01-24", "2025-01-27")]
