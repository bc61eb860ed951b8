"""Fans due soon at a site somebody goes to anyway."""

from __future__ import annotations

import pytest

from schedules.bench.weeks import MONDAY
from schedules.engine.rounds import Blocker, DueFan, Plan, RoundsParams
from tests.engine.rounds.weeks import NEXT, late, planned, shift, site, technician, week


def soon(key: int, weeks: int = 0, **facts: object) -> DueFan:
    """A fan on site 20 that falls due some weeks after the plan; a visit holds 60 days."""
    due = NEXT + 7 * weeks
    known = {"due_day": due, "overdue_after_day": due + 14, "at": 20}
    return late(key, **{**known, **facts})  # type: ignore[arg-type]


def plan_with(*fans: DueFan, **facts: object) -> Plan:
    """A plan that goes to site 20, 20 minutes out, for a fan that is overdue."""
    return planned(week([site(20), site(21)], [late(20), *fans], **facts))


def pulled(plan: Plan) -> list[int]:
    return [key for each in plan.rounds for stop in each.stops for key in stop.pulled_forward]


def test_pulled_forward_when_cheaper_than_coming_back_then_done_and_told_apart() -> None:
    plan = plan_with(soon(1))
    (stop,) = plan.rounds[0].stops
    assert (stop.fans, stop.pulled_forward, stop.leave - stop.start) == ((20,), (1,), 60)


# Going away 30 minutes of work at 1 a minute for the 7/10 of an interval not used is 21, coming
# back costs nothing: the site is at the base.
def test_pulled_forward_when_coming_back_is_cheaper_then_not() -> None:
    near = soon(1, at=1, interval_days=10.0)
    assert pulled(planned(week([site(1, 0)], [late(2, 1), near]))) == []


def test_pulled_forward_when_time_is_out_then_not() -> None:
    assert (
        pulled(planned(week([site(20)], [late(20), soon(1)], technician(1, shift(end=570))))) == []
    )


def test_pulled_forward_when_it_would_take_overtime_then_not() -> None:
    short = technician(1, shift(end=570, overtime_minutes=60))
    assert pulled(planned(week([site(20)], [late(20), soon(1)], short))) == []


@pytest.mark.parametrize(
    "facts",
    [
        {"at": 21},
        {"skill": "drives"},
        {"not_before_day": MONDAY + 1},
        {"blockers": (Blocker("parts"),)},
        {"weeks": 5},
    ],
)
def test_pulled_forward_when_it_cannot_be_or_is_elsewhere_or_far_off_then_not(
    facts: dict[str, object],
) -> None:
    assert pulled(plan_with(soon(1, **facts))) == []  # type: ignore[arg-type]


def test_pulled_forward_when_the_week_before_does_not_fit_then_later_weeks_wait_too() -> None:
    assert pulled(plan_with(soon(1, minutes=480), soon(2, weeks=1))) == []


def test_pulled_forward_when_nothing_is_due_there_then_nobody_goes_for_it() -> None:
    assert planned(week([site(20)], [soon(1)])).rounds == ()


def test_pulled_forward_when_further_days_are_looked_at_then_more() -> None:
    far = RoundsParams(day_cost=0.0, soon_days=60)
    assert pulled(plan_with(soon(1, weeks=5), params=far)) == [1]
