"""Visits bought against walk-throughs made: which due days need the owner's yes."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from fleet.models import Agreement, Fan
from schedules.due.bought import Beyond, agreement_year, beyond_bought, walk_visits
from schedules.due.lists import DueFilters, due_page
from schedules.due.local_days import same_day
from schedules.due.reckoning import reckon_fleet
from schedules.due.sites import bought_for
from schedules.models import DueState
from schedules.wording import notes_of
from tests.people import Roofs
from tests.schedules.fans import NOW, make_fan, walk

pytestmark = pytest.mark.django_db
TODAY = dt.date(2026, 6, 15)


def bought(fan: Fan, visits: int | None, starts: str = "2026-01-01", **more: Any) -> Agreement:
    return Agreement.objects.create(
        owner=fan.site.owner,
        starts_on=dt.date.fromisoformat(starts),
        visits_per_year=visits,
        **more,
    )


def beyond(fan: Fan, due_on: str = "2026-06-10") -> Beyond | None:
    DueState.objects.filter(fan=fan).update(due_on=due_on)
    days = same_day(TODAY, ["America/Chicago"])
    return beyond_bought(list(DueState.objects.filter(fan=fan)), days).get(fan.pk)


def test_visit_beyond_those_bought_needs_the_owners_yes(roofs: Roofs) -> None:
    bought(roofs.bakery, 2)
    for day in ("2026-02-10", "2026-04-10"):
        walk(roofs.bakery, day)
    assert beyond(roofs.bakery) == Beyond(visits=2, made=2, year_on=dt.date(2026, 1, 1))


def test_yes_when_needed_then_the_line_says_whose(roofs: Roofs) -> None:
    bought(roofs.bakery, 1)
    walk(roofs.bakery, "2026-02-10")
    reckon_fleet(now=NOW)
    line = due_page(
        DueState.objects.all(),
        days=same_day(TODAY, ["America/Chicago"]),
        filters=DueFilters(site=roofs.bakery.site_id),
    ).lines[0]
    assert (
        "Needs Alder Kitchens's yes: the one visit bought for the year from Thu 1 Jan 2026 is made."
        in notes_of(line)
    )


def test_visit_within_those_bought_needs_no_yes(roofs: Roofs) -> None:
    bought(roofs.bakery, 2)
    walk(roofs.bakery, "2026-02-10")
    assert beyond(roofs.bakery) is None


def test_visits_of_another_year_site_or_unfinished_use_up_nothing(roofs: Roofs) -> None:
    bought(roofs.bakery, 1, "2025-03-01")
    walk(roofs.bakery, "2026-02-28")
    walk(roofs.canteen, "2026-05-01")
    walk(roofs.bakery, "2026-05-02", curb=None)
    assert beyond(roofs.bakery) is None


def test_visits_as_due_never_need_a_yes(roofs: Roofs) -> None:
    bought(roofs.bakery, None)
    walk(roofs.bakery, "2026-02-10")
    assert beyond(roofs.bakery) is None


def test_visit_overdue_since_last_year_when_this_year_s_are_unspent_then_no_yes(
    roofs: Roofs,
) -> None:
    bought(roofs.bakery, 1, "2025-06-01")
    walk(roofs.bakery, "2026-02-10")
    assert beyond(roofs.bakery, "2026-04-10") is None


def test_agreement_ended_before_the_due_day_buys_nothing(roofs: Roofs) -> None:
    bought(roofs.bakery, 1, ends_on=dt.date(2026, 5, 31))
    walk(roofs.bakery, "2026-02-10")
    assert beyond(roofs.bakery) is None


@pytest.mark.parametrize(
    ("starts", "day", "begins"),
    [
        ("2025-03-01", "2026-02-28", "2025-03-01"),
        ("2025-03-01", "2026-03-01", "2026-03-01"),
        ("2024-02-29", "2026-02-28", "2026-02-28"),
        ("2024-02-29", "2026-02-27", "2025-02-28"),
    ],
)
def test_agreement_year_when_day_given_then_begins_on_its_anniversary(
    starts: str, day: str, begins: str
) -> None:
    agreement = Agreement(starts_on=dt.date.fromisoformat(starts))
    year = agreement_year(agreement, dt.date.fromisoformat(day))
    assert year == dt.date.fromisoformat(begins)


def test_walk_when_belt_driven_then_belt_must_be_seen_too() -> None:
    fan = make_fan()
    fan.machines.update(drive="belt")
    walk(fan, "2026-03-02")
    complete = walk(fan, "2026-04-02", belt="sound", sheaves="sound", bearings="quiet")
    assert list(walk_visits()) == [complete.visit]


def test_walk_when_vibration_is_measured_then_no_feeling_is_needed() -> None:
    check = walk(make_fan(), "2026-03-02", vibration_felt=None, vibration_motor_radial_mm_s=1.8)
    assert list(walk_visits()) == [check.visit]


def test_site_when_agreement_is_in_force_then_counts_its_own_walks(roofs: Roofs) -> None:
    bought(roofs.bakery, 6)
    walk(roofs.bakery, "2026-03-02")
    walk(roofs.canteen, "2026-03-03")
    told = bought_for(roofs.bakery.site, TODAY)
    assert told is not None
    assert (told.made, told.year_on) == (1, dt.date(2026, 1, 1))
