"""How often somebody came in vain, and onto which roofs there is no way; counted by hand."""

from __future__ import annotations

import datetime as dt

import pytest
from django.db import connection
from django.db.models import Q
from django.test.utils import CaptureQueriesContext

from fleet.models import Fan, Person
from schedules.done.misses import misses_of, no_way_up
from schedules.models import StopReason
from schedules.wording.done import attempt_text
from tests.bookings.booked import planner, technician
from tests.done.promises import NEXT_WEEK, at, day, missed, publish
from tests.schedules.fans import make_fan, walk

pytestmark = pytest.mark.django_db
LATER = day("tue", 1)


@pytest.fixture
def fan(db: None) -> Fan:
    return make_fan()


@pytest.fixture
def jo(db: None) -> Person:
    return technician()


def attempt(fan: Fan, until: dt.date = LATER) -> str:
    fans = Fan.objects.values("pk")
    told = misses_of(fans, until, at("fri", "12:00", 1), 8).before(fan.pk, until)
    return attempt_text(told, until)


def test_fan_when_not_reached_once_then_second_attempt_with_its_reason(fan: Fan) -> None:
    missed(fan, day("tue"))
    assert attempt(fan) == "Second attempt; not reached on Tue 1 Dec: no access"


def test_fan_when_not_reached_for_one_reason_again_then_told_how_often(fan: Fan) -> None:
    for name, reason in (("mon", "weather"), ("tue", "no_access"), ("wed", "no_access")):
        missed(fan, day(name), reason)
    assert attempt(fan) == ("Attempt 4; not reached on Wed 2 Dec: no access, 2 times in a row")


def test_fan_when_promised_and_left_without_a_word_then_that_counts(fan: Fan, jo: Person) -> None:
    publish((fan, "tue", jo))
    assert attempt(fan) == "Second attempt; planned for Tue 1 Dec and not done, no word why"


def test_fan_when_a_promise_was_not_reached_that_day_then_counted_once(
    fan: Fan, jo: Person
) -> None:
    publish((fan, "tue", jo))
    missed(fan, day("tue"))
    assert attempt(fan).startswith("Second attempt")


def test_fan_when_looked_at_since_then_first_attempt(fan: Fan) -> None:
    missed(fan, day("tue"))
    walk(fan, day("thu").isoformat())
    assert attempt(fan) == ""


def test_fan_when_looked_at_only_after_the_day_asked_about_then_still_counted(fan: Fan) -> None:
    missed(fan, day("tue"))
    walk(fan, day("thu", 1).isoformat())
    assert attempt(fan).startswith("Second attempt")


# Ours: twice in a row since the last look; another reason breaks the row.
@pytest.mark.parametrize(
    ("history", "sites"),
    [
        ([("mon", "no_access")], 0),
        ([("mon", "no_access"), ("tue", "no_access")], 1),
        ([("mon", "no_access"), ("tue", "weather"), ("wed", "no_access")], 0),
        ([("mon", "weather"), ("tue", "no_access"), ("wed", "no_access")], 1),
        ([("mon", "no_access"), ("tue", "look"), ("wed", "no_access")], 0),
        ([("mon", "no_access"), ("tue", "no_access"), ("wed", "look")], 0),
    ],
)
def test_roof_then_without_a_way_up_after_two_in_a_row(
    history: list[tuple[str, str]], sites: int, fan: Fan
) -> None:
    for name, what in history:
        if what == "look":
            walk(fan, day(name).isoformat())
        else:
            missed(fan, day(name), what)
    assert len(no_way_up(NEXT_WEEK)) == sites


def test_roof_when_told_then_its_fans_days_and_since_when_the_record_knows(fan: Fan) -> None:
    walk(fan, "2026-10-05")
    missed(fan, day("mon"))
    late = at("fri", "09:00")
    missed(fan, day("tue"), received_at=late)
    (told,) = no_way_up(NEXT_WEEK)
    assert (told.site, told.tags, told.days, told.seen_on, told.told_at) == (
        fan.site, ["EF-1"], [day("mon"), day("tue")], dt.date(2026, 10, 5), late,
    )  # fmt: skip


def test_reason_given_then_counts_as_a_word_for_all_fans_of_its_stop(fan: Fan, jo: Person) -> None:
    missed(fan, day("mon"))
    (stop,) = publish((fan, "wed", jo))
    told = {"reason": "no_access", "given_at": at("thu", "08:00"), "given_by": planner()}
    StopReason.objects.create(stop=stop, on=day("wed"), **told)
    assert [each.days for each in no_way_up(NEXT_WEEK)] == [[day("mon"), day("wed")]]


def test_correction_when_it_takes_a_miss_away_then_there_is_a_way_up(fan: Fan) -> None:
    missed(fan, day("mon"))
    wrong = missed(fan, day("tue"))
    missed(fan, day("tue"), "weather", supersedes=wrong, correction_reason="it was the storm")
    assert no_way_up(NEXT_WEEK) == []


def test_old_records_brought_along_then_name_no_roof(fan: Fan) -> None:
    missed(fan, day("mon"), here=False)
    missed(fan, day("tue"), here=False)
    assert no_way_up(NEXT_WEEK) == []


def test_roofs_when_one_owners_are_asked_about_then_only_their_record_is_read(fan: Fan) -> None:
    with CaptureQueriesContext(connection) as asked:
        no_way_up(NEXT_WEEK, Q(site__owner=fan.site.owner_id))
    of_owner = f'"owner_id" = {fan.site.owner_id}'
    assert [of_owner in each["sql"] for each in asked] == [True]
