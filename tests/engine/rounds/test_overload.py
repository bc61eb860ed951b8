"""Too much to do: named, counted, and each cure tried by really doing it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from schedules.bench.weeks import MONDAY, invented_week, searched
from schedules.engine import plan_rounds
from schedules.engine.rounds import Overload, Plan, Problem, Technician
from tests.engine.rounds.weeks import fan, late, planned, shift, site, technician, week

HOUR = shift(end=540)

pytestmark = pytest.mark.once


def crowded(*facts: Technician) -> Problem:
    """Three sites at the base, half an hour each; time for one."""
    fans = [late(key, prize=10.0 * key) for key in (1, 2, 3)]
    return week(
        [site(key, 0) for key in (1, 2, 3)], fans, *facts or (technician(1, shift(end=525)),)
    )


def overload(plan: Plan) -> Overload:
    assert plan.overload
    return plan.overload


def test_overload_when_two_of_three_find_no_time_then_both_are_named() -> None:
    found = overload(planned(crowded()))
    assert (sorted(found.sites), found.minutes, found.delay_cost) == ([1, 2], 60, 30.0)


def test_overload_when_a_day_like_the_first_holds_one_then_two_days_cure_it() -> None:
    found = overload(planned(crowded()))
    assert [(day.like_technician, day.like_day, len(day.sites)) for day in found.days] == [
        (1, MONDAY, 1),
        (1, MONDAY, 1),
    ]
    assert found.days_leave == ()


# 45 minutes of shift, 90 of work: 45 more.
def test_overload_when_overtime_would_do_then_how_much_and_where() -> None:
    found = overload(planned(crowded()))
    assert [(each.technician, each.minutes) for each in found.overtime] == [(1, 45)]
    assert found.overtime_leaves == ()


# Both last days are Monday; Monday has time for one.
def test_overload_when_a_site_is_done_only_after_its_last_day_then_named() -> None:
    fans = [late(key, due_day=MONDAY - 9, overdue_after_day=MONDAY) for key in (1, 2)]
    short = technician(1, shift(end=525), shift(1, end=525))
    plan = planned(week([site(1, 0), site(2, 0)], fans, short))
    found = overload(plan)
    assert (found.sites, found.days, plan.left_out) == ((), (), ())
    assert found.late == tuple(stop.site for stop in plan.rounds[1].stops)


def test_overload_when_a_week_has_time_then_none() -> None:
    assert planned(crowded(technician(1, shift(end=570)))).overload is None


def test_overload_when_only_optional_fans_find_no_time_then_none() -> None:
    problem = replace(crowded(), fans=tuple(fan(key) for key in (1, 2, 3)))
    plan = planned(problem)
    assert (plan.overload, {each.reason for each in plan.left_out}) == (None, {"full"})


def test_required_when_time_is_short_then_before_any_optional_however_dear() -> None:
    problem = week(
        [site(1, 0), site(2, 0)], [late(1, prize=0.0), fan(2, prize=5000.0)], technician(1, HOUR)
    )
    short = replace(problem, technicians=(technician(1, shift(end=520)),))
    assert [each.fans for each in planned(short).left_out] == [(2,)]


def test_required_when_one_waits_longer_then_it_comes_first() -> None:
    longer = late(1, overdue_after_day=MONDAY - 19, due_day=MONDAY - 40, prize=0.0)
    problem = week([site(1, 0), site(2, 0)], [longer, late(2)], technician(1, shift(end=520)))
    assert [each.fans for each in planned(problem).left_out] == [(2,)]


def cured(problem: Problem, found: Overload) -> Problem:
    """The week with the days that were named, as people of their own."""
    known = {each.key: each for each in problem.technicians}
    extra = []
    for number, day in enumerate(found.days):
        like = known[day.like_technician]
        shifts = tuple(each for each in like.shifts if each.day == day.like_day)
        extra.append(replace(like, key=100 + number, shifts=shifts))
    return replace(problem, technicians=(*problem.technicians, *extra))


def crowded_week() -> Problem:
    """Nearly everything is due, for one technician."""
    return invented_week(fans=110, sites=40, technicians=1, seed=2)


def test_overload_when_its_days_are_added_then_nothing_required_is_full() -> None:
    problem = searched(crowded_week(), iterations=80)
    found = overload(plan_rounds(problem))
    assert len(found.days) > 1
    left = plan_rounds(searched(cured(problem, found), iterations=300)).left_out
    assert [each for each in left if each.required and each.reason == "full"] == []
