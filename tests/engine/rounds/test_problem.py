"""Weeks that make no sense are refused in a sentence; hours lie on the day on which they open."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from schedules.bench.weeks import MONDAY
from schedules.engine.errors import ProblemError
from schedules.engine.rounds import Blocker, CurrentRound, CurrentStop
from schedules.engine.rounds.hours import ALWAYS, Spans, Week, common_hours, hours_of
from tests.engine.rounds.weeks import fan, shift, site, technician, week

SITES, FANS = [site(1), site(2)], [fan(1), fan(2)]


def over(*stops: CurrentStop, key: int = 1, day: int = MONDAY) -> object:
    return week(SITES, FANS, current=(CurrentRound(key, day, stops),))


BAD: list[tuple[Callable[[], object], str]] = [
    (lambda: week([site(1), site(1)], []), "site 1 is there twice"),
    (lambda: week(SITES, [fan(1), fan(1)]), "fan 1 is there twice"),
    (lambda: week(SITES, [fan(3)]), "site 3, which is not in the problem"),
    (lambda: week([site(50)], []), "at node 50; travel has nodes 0 to 49"),
    (lambda: week(SITES, FANS, iterations=None), "neither iterations nor seconds"),
    (lambda: week(SITES, FANS, iterations=-1), "iterations is -1"),
    (lambda: week(SITES, FANS, seconds=float("nan")), "seconds is nan"),
    (lambda: week(SITES, FANS, days=()), "days are"),
    (lambda: week(SITES, FANS, days=(MONDAY, MONDAY)), "each once"),
    (lambda: week(SITES, FANS, next_day=MONDAY + 4), "after the last"),
    (lambda: over(CurrentStop(1, (1,)), key=7), "technician 7"),
    (lambda: over(CurrentStop(1, (1,)), day=MONDAY + 9), f"on day {MONDAY + 9}"),
    (lambda: over(CurrentStop(9, (1,))), "at site 9"),
    (lambda: over(CurrentStop(1, (9,))), "for fan 9"),
    (lambda: over(CurrentStop(1, (2,))), "which stands on site 2"),
    (lambda: over(CurrentStop(1, ())), "for no fan"),
    (lambda: over(CurrentStop(1, (1,)), CurrentStop(1, (1,))), "in two current stops"),
    (lambda: site(1, access_minutes=-1), "access_minutes -1"),
    (lambda: site(1, access_hours=ALWAYS[:6]), "6 days; expected seven"),
    (lambda: site(1, stop_hours=(((600, 500),),) * 7), r"hours \(600, 500\)"),
    (lambda: fan(1, minutes=-5), "minutes -5"),
    (lambda: fan(1, prize=float("inf")), "prize inf"),
    (lambda: fan(1, interval_days=0.0), "interval_days 0"),
    (lambda: fan(1, overdue_after_day=MONDAY - 1), "overdue before it is due"),
    (lambda: Blocker("rain"), "blocker 'rain' is unknown"),
    (lambda: shift(start=900, end=800), "from minute 900 to 800"),
    (lambda: shift(reserve_minutes=481), "keeps 481 min free"),
    (lambda: technician(1, shift(), shift()), "two shifts on one day"),
]


@pytest.mark.parametrize(("make", "told"), BAD)
def test_problem_when_it_makes_no_sense_then_says_what(
    make: Callable[[], object], told: str
) -> None:
    with pytest.raises(ProblemError, match=told):
        make()


DAYTIME: Week = (((480, 1020),),) * 7
NIGHT: Week = (((1320, 1800),),) * 7
MONDAYS: Week = (((480, 1020),), *((),) * 6)

HOURS = [
    # a plain day, its neighbours left out
    (DAYTIME, MONDAY, (), 1440, ((480, 1020),)),
    # always open: through the night in one
    (ALWAYS, MONDAY, (), 1440, ((0, 2880),)),
    # a night begins at ten and leaves its end in the morning after
    (NIGHT, MONDAY, (), 1440, ((0, 360), (1320, 1800))),
    # closed on Monday: Sunday's night goes on, Monday's does not begin
    (NIGHT, MONDAY, {MONDAY}, 1440, ((0, 360),)),
    # a shift into Tuesday sees Tuesday's morning
    (DAYTIME, MONDAY, (), 2000, ((480, 1020), (1920, 2460))),
    (MONDAYS, MONDAY + 1, (), 1440, ()),
]


@pytest.mark.parametrize(("hours", "day", "closed", "until", "expected"), HOURS)
def test_hours_of_a_day_then_spans_that_open_on_it(
    hours: Week, day: int, closed: set[int], until: int, expected: Spans
) -> None:
    assert hours_of(hours, day, closed, until) == expected


def test_common_hours_when_spans_cross_then_what_both_have() -> None:
    assert common_hours(((0, 100), (200, 300)), ((50, 250),)) == ((50, 100), (200, 250))
