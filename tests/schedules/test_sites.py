"""Sites with what is due on their roofs: in order, page by page, found by name."""

from __future__ import annotations

import datetime as dt

import pytest

from fleet.models import Fan, Site
from schedules.due.lists import PageKeyError
from schedules.due.local_days import LocalDays, same_day
from schedules.due.sites import site_lines, systems_of
from schedules.models import DueState
from tests.people import Roofs

pytestmark = pytest.mark.django_db
TODAY = dt.date(2026, 6, 15)


def put(fan: Fan, due_on: str, overdue_after: str) -> None:
    DueState.objects.filter(fan=fan).update(due_on=due_on, overdue_after=overdue_after)


def days() -> LocalDays:
    return same_day(TODAY, ["America/Chicago"])


def test_sites_when_listed_then_by_name_with_what_is_due(roofs: Roofs) -> None:
    put(roofs.bakery, "2026-06-06", "2026-06-14")
    put(roofs.canteen, "2026-06-19", "2026-07-03")
    shown = site_lines(Site.objects.all(), days=days()).lines
    assert [(line.site.name, line.fans, line.overdue, line.due_on) for line in shown] == [
        ("Alder Bakery", 1, 1, dt.date(2026, 6, 6)),
        ("Alder Canteen", 1, 0, dt.date(2026, 6, 19)),
        ("Dory's Roof", 1, 0, None),
    ]


def test_sites_when_pages_turn_then_every_site_once(roofs: Roofs) -> None:
    names: list[str] = []
    after = ""
    for _ in range(3):
        shown = site_lines(Site.objects.all(), days=days(), after=after, size=1)
        names += [line.site.name for line in shown.lines]
        after = str(shown.next_id or "")
    assert (names, after) == (["Alder Bakery", "Alder Canteen", "Dory's Roof"], "")


@pytest.mark.parametrize("search", ["canteen", "CANT"])
def test_sites_when_searched_then_those_that_hold_it(roofs: Roofs, search: str) -> None:
    shown = site_lines(Site.objects.all(), days=days(), search=search)
    assert [line.site.name for line in shown.lines] == ["Alder Canteen"]


@pytest.mark.parametrize("after", ["x", "0", "-1", "99999999999999999999", "12345"])
def test_sites_when_page_is_none_of_theirs_then_says_to_start_again(
    roofs: Roofs, after: str
) -> None:
    with pytest.raises(PageKeyError, match="start again"):
        site_lines(Site.objects.all(), days=days(), after=after)


def test_site_when_opened_then_its_fans_stand_under_their_systems(roofs: Roofs) -> None:
    put(roofs.bakery, "2026-06-06", "2026-06-14")
    told = systems_of(roofs.bakery.site, days())
    assert [(each.system.name, [x.state.fan.tag for x in each.lines]) for each in told] == [
        ("Main line", ["EF-1"])
    ]
