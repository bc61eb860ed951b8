"""The due list's questions: sections by each site's own today, filters, pages, bought visits."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from fleet.models import Agreement, Fan, Person
from schedules.due.lists import (
    SECTIONS,
    Counts,
    DueFilters,
    DuePage,
    PageKey,
    PageKeyError,
    count_due,
    due_page,
    undated,
)
from schedules.due.local_days import days_at, same_day
from schedules.due.reckoning import reckon_fleet
from schedules.models import DueState
from tests.people import Roofs
from tests.schedules.fans import NOW, inspected, make_fan, walk

pytestmark = pytest.mark.django_db
TODAY = dt.date(2026, 6, 15)
CHICAGO = "America/Chicago"


def put(fan: Fan, due: int, overdue: int, **more: Any) -> None:
    """Give the fan a due and an overdue day, counted from today."""
    days = {
        "due_on": TODAY + dt.timedelta(days=due),
        "overdue_after": TODAY + dt.timedelta(days=overdue),
    }
    DueState.objects.filter(fan=fan).update(**days, due_rule=1, overdue_rule=1)
    DueState.objects.filter(fan=fan).update(**more)


def page(filters: DueFilters | None = None, **asked: Any) -> DuePage:
    days = asked.pop("days", same_day(TODAY, [CHICAGO]))
    return due_page(DueState.objects.all(), days=days, filters=filters, **asked)


def sections(shown: DuePage) -> list[tuple[str, str]]:
    return [(line.section, line.state.fan.tag) for line in shown.lines]


def test_list_when_read_then_overdue_first_then_the_week_then_the_rest(roofs: Roofs) -> None:
    put(roofs.bakery, 8, 22)
    put(roofs.canteen, -3, 11)
    put(roofs.diner, -2, -1)
    assert sections(page()) == [("overdue", "EF-3"), ("week", "EF-2"), ("later", "EF-1")]


@pytest.mark.parametrize(
    ("due", "overdue", "section"),
    [(-1, -1, "overdue"), (-1, 0, "week"), (0, 0, "week"), (7, 21, "week"), (8, 8, "later")],
)
def test_section_when_a_day_lies_on_its_edge_then_as_the_rules_say(
    roofs: Roofs, due: int, overdue: int, section: str
) -> None:
    put(roofs.diner, due, overdue)
    assert sections(page()) == [(section, "EF-3")]


def test_overdue_when_sites_have_different_todays_then_each_by_its_own() -> None:
    # 02:00 UTC on 16 June is 15 June in Chicago and 16 June in Kiritimati.
    now = dt.datetime(2026, 6, 16, 2, tzinfo=dt.UTC)
    west, east = make_fan("EF-1"), make_fan("EF-2", time_zone="Pacific/Kiritimati")
    put(west, -1, 0)
    put(east, -1, 0)
    shown = page(days=days_at(now, [CHICAGO, "Pacific/Kiritimati"]))
    assert sections(shown) == [("overdue", "EF-2"), ("week", "EF-1")]


def test_line_when_overdue_then_counts_days_after_its_grace(roofs: Roofs) -> None:
    put(roofs.diner, -20, -6)
    line = page().lines[0]
    assert (line.days_over, line.days_left) == (6, -20)


def test_list_when_a_stop_stands_then_first_under_its_heading_and_only_there(
    roofs: Roofs,
) -> None:
    put(roofs.bakery, -40, -26)
    put(roofs.canteen, -3, -3, worst_verdict=4)
    put(roofs.diner, 30, 44, worst_verdict=4)
    shown = sections(page())
    assert shown == [("overdue", "EF-2"), ("overdue", "EF-1"), ("later", "EF-3")]


FILTERS = [
    (DueFilters(rule=6), ["EF-2"]),
    (DueFilters(verdict=3), ["EF-3", "EF-2"]),
    (DueFilters(within_days=0), ["EF-1"]),
    (DueFilters(within_days=9), ["EF-1", "EF-2"]),
    (DueFilters(overdue=True), ["EF-1"]),
    (DueFilters(overdue=True, verdict=3), []),
]


@pytest.mark.parametrize(("filters", "tags"), FILTERS)
def test_list_when_filtered_then_only_what_fits(
    roofs: Roofs, filters: DueFilters, tags: list[str]
) -> None:
    put(roofs.bakery, -5, -1, worst_verdict=2)
    put(roofs.canteen, 9, 23, worst_verdict=3, overdue_rule=6)
    put(roofs.diner, 40, 54, worst_verdict=4)
    assert [tag for _, tag in sections(page(filters))] == tags


def test_list_when_asked_for_a_site_or_an_owner_then_only_theirs(roofs: Roofs) -> None:
    for fan in roofs.all:
        put(fan, 1, 15)
    by_site = sections(page(DueFilters(site=roofs.canteen.site_id)))
    by_owner = sections(page(DueFilters(owner=roofs.bakery.site.owner_id)))
    assert (by_site, [tag for _, tag in by_owner]) == ([("week", "EF-2")], ["EF-1", "EF-2"])


def test_list_when_an_owner_asks_then_no_other_owners_fan(roofs: Roofs, sam: Person) -> None:
    for fan in roofs.all:
        put(fan, 1, 15)
    shown = due_page(DueState.objects.visible_to(sam), days=same_day(TODAY, [CHICAGO]))
    assert sections(shown) == [("week", "EF-3")]


@pytest.mark.parametrize("size", [1, 2, 3, 5])
def test_pages_when_turned_then_every_fan_once_in_one_order(size: int) -> None:
    fans = [make_fan(f"EF-{number}") for number in range(9)]
    for number, fan in enumerate(fans):
        due = 8 * (number % 4) - 9
        put(fan, due, due + 6 * (number % 3), worst_verdict=number % 2 * 4)
    whole = [line.state.fan_id for line in page(size=50).lines]
    turned: list[int] = []
    key: PageKey | None = None
    for _ in range(10):
        shown = page(size=size, after=key)
        turned += [line.state.fan_id for line in shown.lines]
        key = shown.next_key and PageKey.parse(str(shown.next_key))
        if key is None:
            break
    assert (turned, sorted(turned)) == (whole, sorted(fan.pk for fan in fans))


BROKEN_KEYS = [
    "", "later", "later.0.x.1", "soon.0.2026-01-01.1", "later.0.2026-02-30.1",
    "week.0.2026-01-01.0", "week.0.2026-01-01.99999999999999999999", "week.2.2026-01-01.1",
    "week.2026-01-01.1", "a.b.c.d", "a.b.c.d.e",
]  # fmt: skip


@pytest.mark.parametrize("text", BROKEN_KEYS)
def test_page_key_when_broken_then_says_to_start_again(text: str) -> None:
    with pytest.raises(PageKeyError, match="start again from its first page"):
        PageKey.parse(text)


@pytest.mark.parametrize("section", SECTIONS)
def test_page_key_when_written_then_reads_back(section: str) -> None:
    keys = [PageKey(section, is_stop, TODAY, 7) for is_stop in (True, False)]
    assert [PageKey.parse(str(key)) for key in keys] == keys


def test_counts_when_asked_then_overdue_and_the_week(roofs: Roofs) -> None:
    put(roofs.bakery, -9, -1)
    put(roofs.canteen, 2, 16)
    put(roofs.diner, 30, 44)
    days = same_day(TODAY, [CHICAGO])
    assert count_due(DueState.objects.all(), days) == Counts(overdue=1, week=1)


def test_fans_without_a_day_are_listed_apart(roofs: Roofs) -> None:
    put(roofs.bakery, 1, 15)
    put(roofs.canteen, 1, 15)
    assert [state.fan.tag for state in undated(DueState.objects.all())] == ["EF-3"]


@pytest.mark.parametrize("fans", [2, 12])
def test_list_asks_the_same_number_of_questions_however_long(
    django_assert_num_queries: Any, fans: int
) -> None:
    for number in range(fans):
        fan = make_fan(f"EF-{number}")
        inspected(fan)
        walk(fan, "2026-06-02", {"hinge": "watch"}, hinge="loose")
    Agreement.objects.create(owner=fan.site.owner, starts_on="2026-01-01", visits_per_year=1)
    reckon_fleet(now=NOW)
    days = same_day(TODAY, [CHICAGO])
    with django_assert_num_queries(13):
        shown = due_page(DueState.objects.all(), days=days)
    assert [bool(line.seen and line.beyond) for line in shown.lines] == [True] * fans
