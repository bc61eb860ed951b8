"""Booking, moving and withdrawing: what is kept, what is refused and in which words."""

from __future__ import annotations

import datetime as dt
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.db import IntegrityError, connection, transaction

from fleet.models import Fan, Person, Site
from fleet.services.errors import RegisterError
from schedules.bookings.services import Terms, book, move_booking, terms_of, withdraw_booking
from schedules.models import Booking
from tests.bookings.booked import HOUR, NOW, TUESDAY, booked, planner, technician
from tests.people import Roofs
from tests.schedules.fans import make_fan

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)


@pytest.fixture
def fan(db: None) -> Fan:
    return make_fan()


@pytest.fixture
def park(db: None) -> Person:
    return technician()


def move(booking: Booking, seen: int | None = None, **terms: Any) -> Booking:
    asked = replace(terms_of(booking), **terms)
    told = booking.sequence if seen is None else seen
    return move_booking(
        booking_id=booking.pk, seen=told, terms=asked, by=planner(), now=NOW + DAY / 24
    )


def withdraw(booking: Booking, reason: str = "kitchen closed") -> Booking:
    return withdraw_booking(
        booking_id=booking.pk, seen=booking.sequence, reason=reason, by=planner(), now=NOW
    )


def test_booking_when_made_then_says_who_when_and_by_whom(fan: Fan, park: Person) -> None:
    booking = Booking.objects.get(pk=booked(fan.site, park).pk)
    told = (booking.day, booking.from_minute, booking.until_minute, booking.sequence)
    assert told == (TUESDAY, 540, 660, 0)
    assert (booking.booked_by, booking.booked_at) == (planner(), NOW)


# RFC 5545, 3.8.7.4: the sequence begins at 0 and rises with each significant change; 3.8.4.7: the
# UID stays.
def test_booking_when_moved_then_same_uid_and_higher_sequence(fan: Fan, park: Person) -> None:
    first = booked(fan.site, park)
    second = move(first, day=TUESDAY + DAY)
    assert (second.pk, second.sequence, second.changed_at) == (first.pk, 1, NOW + DAY / 24)


def test_booking_when_moved_to_where_it_is_then_unchanged(fan: Fan, park: Person) -> None:
    assert move(booked(fan.site, park)).sequence == 0


def test_booking_when_given_to_another_then_withdrawn_and_made_anew(fan: Fan, park: Person) -> None:
    first = booked(fan.site, park)
    second = move(first, technician=technician("Ada Quill"))
    first.refresh_from_db()
    assert (first.withdrawn_reason, first.sequence) == ("given to A. Quill", 1)
    assert (second.pk != first.pk, second.sequence, second.day) == (True, 0, first.day)


def test_booking_when_given_to_one_who_is_busy_then_stays_with_the_first(
    fan: Fan, park: Person
) -> None:
    first, quill = booked(fan.site, park), technician("Ada Quill")
    booked(make_fan("EF-2").site, quill)
    with pytest.raises(RegisterError, match=r"A\. Quill is at Roof of EF-2 then"):
        move(first, technician=quill)
    first.refresh_from_db()
    assert (first.withdrawn_at, first.sequence) == (None, 0)


def test_booking_when_withdrawn_then_kept_with_its_reason(fan: Fan, park: Person) -> None:
    booking = withdraw(booked(fan.site, park))
    assert (booking.withdrawn_at, booking.withdrawn_reason, booking.sequence) == (
        NOW,
        "kitchen closed",
        1,
    )


def test_booking_when_withdrawn_then_its_time_is_free_again(fan: Fan, park: Person) -> None:
    withdraw(booked(fan.site, park))
    assert booked(fan.site, park).sequence == 0


def changed(site: Site, person: Person, **terms: Any) -> Terms:
    return replace(Terms(person, TUESDAY, 9 * HOUR, 11 * HOUR), **terms)


@pytest.mark.parametrize(
    ("terms", "field", "words"),
    [
        ({"day": NOW.date() - DAY}, "day", "Sun 29 Nov 2026 is past there; choose Mon 30 Nov"),
        ({"day": NOW.date() + 400 * DAY}, "day", "more than a year away; check the year"),
        ({"until_minute": None}, "until_minute", "one time alone says too little"),
        ({"from_minute": None}, "from_minute", "one time alone says too little"),
        ({"from_minute": 1380, "until_minute": 1320}, "until_minute", "that is 23 hours"),
    ],
)
def test_booking_when_its_time_cannot_be_then_told(
    fan: Fan, park: Person, terms: dict[str, Any], field: str, words: str
) -> None:
    with pytest.raises(RegisterError) as refused:
        book(site=fan.site, terms=changed(fan.site, park, **terms), by=planner(), now=NOW)
    assert words in refused.value.faults[field]


# 8 March 2026: clocks in Chicago go from 2:00 to 3:00 (IANA time zone database).
def test_booking_when_the_clocks_skip_its_time_then_told(fan: Fan, park: Person) -> None:
    terms = Terms(park, dt.date(2026, 3, 8), 150, 300)
    with pytest.raises(RegisterError, match=r"the clocks at Roof of EF-1 skip 02:30"):
        book(site=fan.site, terms=terms, by=planner(), now=NOW - 280 * DAY)


def test_booking_when_at_night_then_ends_on_the_next_day(fan: Fan, park: Person) -> None:
    hours = booked(fan.site, park, hours=(22, 2)).hours
    assert hours
    assert (hours[1] - hours[0], hours[1].date()) == (dt.timedelta(hours=4), TUESDAY + DAY)


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"is_active": False}, "J. Park no longer works here; choose another"),
        ({"role": Person.Role.MANAGER}, "J. Park is a manager; choose a technician"),
    ],
)
def test_booking_when_they_do_not_climb_then_told(
    fan: Fan, facts: dict[str, Any], words: str
) -> None:
    with pytest.raises(RegisterError, match=words):
        booked(fan.site, technician(**facts))


@pytest.mark.parametrize(
    ("hours", "free"),
    [((10, 12), False), ((8, 10), False), ((11, 12), True), ((7, 9), True), (None, True)],
)
def test_booking_when_the_technician_is_elsewhere_then_told(
    fan: Fan, park: Person, hours: tuple[int, int] | None, free: bool
) -> None:
    booked(fan.site, park)
    other = make_fan("EF-2").site
    if free:
        booked(other, park, hours=hours)
    else:
        with pytest.raises(RegisterError, match=r"J. Park is at Roof of EF-1 then: Tue 1 Dec"):
            booked(other, park, hours=hours)


def test_booking_when_the_night_before_runs_into_it_then_told(fan: Fan, park: Person) -> None:
    booked(fan.site, park, hours=(22, 2))
    with pytest.raises(RegisterError, match="is at Roof of EF-1 then"):
        booked(make_fan("EF-2").site, park, day=TUESDAY + DAY, hours=(1, 3))


def test_booking_when_sent_twice_then_the_second_is_told(fan: Fan, park: Person) -> None:
    booked(fan.site, park, hours=None)
    with pytest.raises(RegisterError, match=r"J\. Park is at Roof of EF-1 then"):
        booked(fan.site, park, hours=None)


def test_booking_when_another_changed_it_meanwhile_then_told(fan: Fan, park: Person) -> None:
    booking = booked(fan.site, park)
    move(booking, day=TUESDAY + DAY)
    with pytest.raises(RegisterError, match=r"D. Reyes changed this booking meanwhile: Wed 2 Dec"):
        move(booking, seen=0, day=TUESDAY + 2 * DAY)


def test_booking_when_withdrawn_then_not_moved(fan: Fan, park: Person) -> None:
    booking = withdraw(booked(fan.site, park))
    with pytest.raises(RegisterError, match=r"was withdrawn \(kitchen closed\); make a new one"):
        move(booking, day=TUESDAY + DAY)


def test_booking_when_its_day_is_past_then_not_withdrawn(fan: Fan, park: Person) -> None:
    booking = booked(fan.site, park, day=NOW.date(), now=NOW)
    with pytest.raises(RegisterError, match="is past; what was done that day is told by its visit"):
        withdraw_booking(booking_id=booking.pk, seen=0, reason="x", by=planner(), now=NOW + 2 * DAY)


@pytest.mark.parametrize("who", ["theo", "olga"])
def test_booking_when_they_do_not_plan_then_refused(
    roofs: Roofs, who: str, park: Person, request: pytest.FixtureRequest
) -> None:
    by = request.getfixturevalue(who)
    with pytest.raises(PermissionDenied):
        book(site=roofs.bakery.site, terms=Terms(park, TUESDAY), by=by, now=NOW)
    booking = booked(roofs.bakery.site, park)
    for change in (
        lambda: withdraw_booking(booking_id=booking.pk, seen=0, reason="x", by=by, now=NOW),
        lambda: move_booking(booking_id=booking.pk, seen=0, terms=Terms(park, TUESDAY), by=by,
                             now=NOW),
    ):  # fmt: skip
        with pytest.raises(PermissionDenied):
            change()


@pytest.mark.parametrize("minutes", [{"from_minute": 540}, {"until_minute": 540}])
def test_table_when_one_time_is_missing_then_refused(
    fan: Fan, park: Person, minutes: dict[str, int]
) -> None:
    by = planner()
    with pytest.raises(IntegrityError), transaction.atomic():
        Booking.objects.create(
            site=fan.site, technician=park, day=TUESDAY, booked_at=NOW, booked_by=by,
            changed_at=NOW, changed_by=by, **minutes,
        )  # fmt: skip


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_booking_when_two_book_one_technician_at_once_then_one_is_told() -> None:
    park, by = technician(), planner()
    sites = [make_fan(f"EF-{number}").site for number in range(4)]

    def work(site: Site) -> bool:
        try:
            book(site=site, terms=Terms(park, TUESDAY, 540, 660), by=by, now=NOW)
        except RegisterError:
            return False
        else:
            return True
        finally:
            connection.close()

    with ThreadPoolExecutor(4) as pool:
        assert sum(pool.map(work, sites)) == 1
