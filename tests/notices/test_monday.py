"""The dispatcher's Monday list: when it comes, what it says, that it stays short."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Fan, Owner, Person
from schedules.due.reckoning import reckon_fleet
from schedules.models import DueChange, DueState, Notice, RefusedAddress, Subscription
from schedules.notices.monday import monday_letters
from schedules.notices.monday.changes import read_changes
from tests.bookings.booked import booked, technician
from tests.notices.letters import MONDAY, overdue_fan, write
from tests.schedules.fans import make_fan, walk

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)
SEVEN = dt.datetime(2026, 6, 15, 12, tzinfo=dt.UTC)
"""Monday, 7:00 in Chicago (UTC-5)."""


@pytest.fixture
def dana(db: None) -> Person:
    return Person.objects.create_user(
        "dana", first_name="Dana", role=Person.Role.DISPATCHER, email="dana@rounds.example"
    )


def lists() -> list[Notice]:
    return list(Notice.objects.filter(kind="monday").order_by("pk"))


def text(now: dt.datetime = SEVEN) -> str:
    write(now)
    return lists()[-1].text


@pytest.mark.parametrize(
    ("at", "count"),
    [
        ("2026-06-15T10:59", 0),
        ("2026-06-15T11:00", 1),
        ("2026-06-15T21:59", 1),
        ("2026-06-15T22:00", 0),
        # a list that could not be written on Monday comes when it can
        ("2026-06-17T13:00", 1),
        ("2026-06-14T13:00", 0),
        # 25 May 2026 is Memorial Day (5 U.S.C. 6103): the week's first working morning is Tuesday's
        ("2026-05-25T13:00", 0),
        ("2026-05-26T13:00", 1),
    ],
)
def test_list_then_on_the_first_working_morning_of_the_week(
    dana: Person, at: str, count: int
) -> None:
    overdue_fan()
    write(dt.datetime.fromisoformat(f"{at}+00:00"))
    assert len(lists()) == count


def test_list_when_the_office_has_a_zone_of_its_own_then_by_its_clock(
    dana: Person, settings: Any
) -> None:
    settings.OFFICE_TIME_ZONE = "America/Los_Angeles"
    overdue_fan()
    write(dt.datetime(2026, 6, 15, 12, 59, tzinfo=dt.UTC))
    write(dt.datetime(2026, 6, 15, 13, tzinfo=dt.UTC))
    assert [n.owed_at.hour for n in lists()] == [13]


def test_list_then_once_a_week_to_each_who_dispatches(dana: Person) -> None:
    Person.objects.create_user("eli", role=Person.Role.DISPATCHER, email="eli@rounds.example")
    Person.objects.create_user("mara", role=Person.Role.MANAGER, email="mara@rounds.example")
    overdue_fan()
    for days in (0, 0, 1, 7):
        write(SEVEN + days * DAY)
    told = [(n.address[:4], n.period) for n in lists()]
    assert told == [(who, week) for week in ("2026-W25", "2026-W26") for who in ("dana", "eli@")]


def test_list_when_nobody_dispatches_then_to_those_who_manage() -> None:
    Person.objects.create_user("mara", role=Person.Role.MANAGER, email="mara@rounds.example")
    overdue_fan()
    write(SEVEN)
    assert [n.address for n in lists()] == ["mara@rounds.example"]


def test_list_when_its_reader_has_no_address_then_said(dana: Person) -> None:
    Person.objects.update(email="")
    overdue_fan()
    assert write(SEVEN).unreachable == ["Dana"]


def test_list_then_stops_first_and_says_who_is_booked(dana: Person) -> None:
    walk(overdue_fan("EF-2"), "2026-03-01", {"guard": "stop"}, guard="off")
    booked(overdue_fan("EF-1").site, technician(), SEVEN.date() + DAY, now=SEVEN)
    told = text()
    assert told.index("STOPS FIRST") < told.index("The guard is off") < told.index("OVERDUE")
    assert "booked Tue 16 Jun 2026, 9:00–11:00, J. Park" in told
    assert "EF-2, Roof of EF-2, Alder Kitchens" in told
    assert "1 fan stands at a stop." in told
    assert "Sites with overdue fans: 2; with a visit booked: 1." in told
    assert " of them since Mon 8 Jun 2026." in told


def test_list_then_its_subject_counts(dana: Person) -> None:
    walk(overdue_fan("EF-2"), "2026-03-01", {"guard": "stop"}, guard="off")
    overdue_fan("EF-1")
    write(SEVEN)
    assert lists()[0].subject == "Week 25: 1 stop, 2 overdue"


def test_list_when_a_fan_waits_for_its_first_visit_then_counted_apart(dana: Person) -> None:
    make_fan()
    Fan.objects.update(onboarding_on=SEVEN.date() + 2 * DAY)
    told = text()
    assert "Nothing is overdue." in told
    assert "First visits to new fans within a week, on the due list: 1." in told


def test_list_when_letters_do_not_arrive_then_says_whose(dana: Person) -> None:
    overdue_fan("EF-1")
    mute = Owner.objects.create(name="Birch Hall")
    for fan, owner in ((overdue_fan("EF-2"), mute), (overdue_fan("EF-3"), None)):
        fan.site.owner = owner or Owner.objects.create(name="Cedar Inn", email="inn@cedar.example")
        fan.site.save()
    Owner.objects.filter(pk=mute.pk).update(email="", name="Birch\nHall")
    RefusedAddress.objects.create(address="inn@cedar.example", since=SEVEN - DAY, why="550 no")
    alder = Owner.objects.get(name="Alder Kitchens")
    Subscription.objects.create(
        kind="overdue", addressee=f"owner-{alder.pk}", owner=alder, left_at=SEVEN - DAY
    )
    told = text()
    assert "Birch Hall has overdue fans and no email address." in told
    assert "inn@cedar.example (Cedar Inn) takes no email since Sun 14 Jun 2026." in told
    assert "Alder Kitchens has unsubscribed from the weekly email about overdue fans." in told


def moved(fan: Fan, *days: str, at: dt.datetime = SEVEN - DAY) -> None:
    """The log of a due day that went from each of these days to the next."""
    for number, (before, after) in enumerate(pairwise(days)):
        DueChange.objects.create(
            fan=fan, changed_at=at + number * dt.timedelta(minutes=1), due_on_before=before,
            due_on=after, due_rule=1, due_rule_before=1,
        )  # fmt: skip


@pytest.mark.parametrize(
    ("days", "told"),
    [
        (("2026-08-01", "2026-07-01"), (1, 0, 0)),
        (("2026-07-01", "2026-08-01"), (0, 1, 0)),
        (("2026-06-01", "2026-08-01"), (0, 0, 1)),
        (("2026-08-01", "2026-07-01", "2026-08-01"), (0, 0, 0)),
        (("2026-08-01", "2026-06-20", "2026-09-01"), (0, 1, 0)),
    ],
)
def test_changes_then_counted_net(days: tuple[str, ...], told: tuple[int, int, int]) -> None:
    moved(make_fan(), *days)
    changes = read_changes(SEVEN - 7 * DAY, SEVEN)
    assert (changes.earlier, changes.later, changes.back) == told


def test_changes_when_older_than_last_monday_then_left_out() -> None:
    moved(make_fan(), "2026-08-01", "2026-07-01", at=SEVEN - 8 * DAY)
    assert read_changes(SEVEN - 7 * DAY, SEVEN).earlier == 0


def test_list_when_a_day_moved_then_named_with_both_days(dana: Person) -> None:
    fan = overdue_fan()
    write(SEVEN - 9 * DAY)
    moved(fan, "2026-08-01", "2026-07-01")
    told = text()
    assert "EF-1, Roof of EF-1: Wed 1 Jul 2026 instead of Sat 1 Aug 2026 (walk-through)" in told


def many(fan: Fan, count: int) -> None:
    """So many more that are overdue on the roof of one that is."""
    state = DueState.objects.get(fan=fan)
    told = DueState.objects.filter(pk=state.pk).values(
        "site_id", "owner_id", "due_on", "due_rule", "overdue_after", "overdue_rule", "dates",
        "reckoned_revision",
    )[0]  # fmt: skip
    fans = Fan.objects.bulk_create(
        Fan(site=fan.site, system=fan.system, tag=f"EX-{number}", entered_on="2026-01-01")
        for number in range(count)
    )
    DueState.objects.bulk_create(DueState(fan=each, **told) for each in fans)


@pytest.fixture
def late(db: None) -> Fan:
    """One overdue fan, reckoned."""
    fan = overdue_fan()
    reckon_fleet(now=SEVEN)
    return fan


def test_list_when_thousands_are_overdue_then_short_with_the_rest_counted(
    dana: Person, late: Fan
) -> None:
    many(late, 3000)
    (letter,) = monday_letters(SEVEN)
    words = letter.words()  # type: ignore[union-attr]  # she has an address
    assert "and 2976 more: http://127.0.0.1:8000/?overdue=on" in words.text
    assert (len(words.text) < 10_000, len(words.html) < 30_000) == (True, True)


def test_list_when_more_stand_at_a_stop_then_each_counted_where_it_is_listed(
    dana: Person, late: Fan
) -> None:
    many(late, 40)
    stops = DueState.objects.exclude(fan=late).values("pk")[:20]
    DueState.objects.filter(pk__in=list(stops.values_list("pk", flat=True))).update(worst_verdict=4)
    (letter,) = monday_letters(SEVEN)
    told = letter.words().text  # type: ignore[union-attr]  # she has an address
    assert "and 5 more: http://127.0.0.1:8000/?verdict=4" in told
    assert "OVERDUE, EARLIEST DAY FIRST" in told
    assert "?overdue=on" not in told


def test_list_when_the_fleet_grows_then_asks_no_more_questions(dana: Person, late: Fan) -> None:
    counts = []
    for more in (300, 0):
        with CaptureQueriesContext(connection) as asked:
            for letter in monday_letters(MONDAY):
                letter.words()  # type: ignore[union-attr]  # she has an address
        counts.append(len(asked))
        many(late, more)
    assert counts[0] == counts[1]
