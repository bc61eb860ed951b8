"""The calendar that programs fetch: read by icalendar and by vobject, two libraries apart.

vobject is the one of the two that notices a required property missing (formats.json, FO-03).
"""

from __future__ import annotations

import datetime as dt
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest
import vobject
from icalendar import Calendar

from fleet.models import Fan
from schedules.bookings.calendar import kept_calendar
from schedules.bookings.services import move_booking, terms_of, withdraw_booking
from schedules.models import Booking
from tests.bookings.booked import NOW, TUESDAY, booked, planner, technician
from tests.formats.checks import case, is_calendar
from tests.schedules.fans import make_fan

pytestmark = pytest.mark.django_db
CHICAGO, UID = ZoneInfo("America/Chicago"), UUID(int=7)
DAY = dt.timedelta(days=1)


@pytest.fixture
def fan(db: None) -> Fan:
    return make_fan(latitude=41.5, longitude=-88.25, address="106 Signal Hill, Wexcombe; rear door")


def write(*bookings: Booking) -> str:
    return kept_calendar(bookings, UID, CHICAGO)


def by_vobject(text: str) -> vobject.base.Component:
    """The calendar as vobject reads it; raises for what RFC 5545 requires and is not there."""
    told = vobject.readOne(text)
    told.validate(raiseException=True)
    return told


# The same documents that our own checker is held against.
def test_vobject_when_asked_of_known_documents_then_knows_which_are_valid() -> None:
    inputs, expected = case("FO-03")

    def is_valid(text: str) -> bool:
        try:
            by_vobject(text)
        except vobject.base.VObjectError:
            return False
        return True

    assert {name: is_valid(text) for name, text in inputs["documents"].items()} == expected


def test_calendar_when_asked_again_then_the_same_to_the_letter(fan: Fan) -> None:
    booking = booked(fan.site, technician())
    assert write(booking) == write(Booking.objects.get(pk=booking.pk))


# RFC 5545, 3.8.7.2: without METHOD, DTSTAMP is when the event was last revised.
def test_event_then_stamped_with_its_last_change(fan: Fan) -> None:
    booking = booked(fan.site, technician())
    move_booking(booking_id=booking.pk, seen=0, by=planner(), now=NOW + DAY / 24,
                 terms=terms_of(booking_on(booking, TUESDAY + DAY)))  # fmt: skip
    (event,) = Calendar.from_ical(write(Booking.objects.get())).events
    told = (event.stamp, event.last_modified, event.sequence)
    assert told == (NOW + DAY / 24, NOW + DAY / 24, 1)


def booking_on(booking: Booking, day: dt.date) -> Booking:
    """The same on another day, as somebody thinks of it."""
    thought = Booking.objects.select_related("technician", "site").get(pk=booking.pk)
    thought.day = day
    return thought


# RFC 5545, 3.8.4.3 (no ORGANIZER in one person's calendar) and 3.7.2; RFC 7986, 5.3 and 5.7.
@pytest.mark.parametrize("line", [
    "REFRESH-INTERVAL;VALUE=DURATION:PT1H", "X-PUBLISHED-TTL:PT1H", f"UID:{UID}",
    "NAME:Roof visits",
])  # fmt: skip
def test_calendar_then_says_when_to_ask_again_and_what_it_is(fan: Fan, line: str) -> None:
    lines = write(booked(fan.site, technician())).split("\r\n")
    assert line in lines
    assert not [each for each in lines if each.startswith(("METHOD", "ORGANIZER"))]


def test_event_when_read_by_both_then_the_same_moments(fan: Fan) -> None:
    text = write(booked(fan.site, technician()))
    begin = dt.datetime(2026, 12, 1, 9, tzinfo=CHICAGO)
    (event,) = Calendar.from_ical(text).events
    other = by_vobject(text).vevent
    told = [(event.start, event.end), (other.dtstart.value, other.dtend.value)]
    assert told == [(begin, begin + dt.timedelta(hours=2))] * 2


# IANA: on 8 March and 1 November 2026 Chicago is at UTC-6 before and UTC-5 after, and back.
@pytest.mark.parametrize(
    ("day", "utc_hour"),
    [((2026, 3, 7), 15), ((2026, 3, 8), 14), ((2026, 10, 31), 14), ((2026, 11, 1), 15)],
)
def test_event_when_clocks_change_then_vobject_reads_the_right_hour(
    fan: Fan, day: tuple[int, int, int], utc_hour: int
) -> None:
    at = dt.date(*day)
    made = dt.datetime(*day, 6, tzinfo=dt.UTC) - 10 * DAY
    start = by_vobject(write(booked(fan.site, technician(), at, now=made))).vevent.dtstart.value
    assert start.astimezone(dt.UTC).hour == utc_hour


# RFC 5545, 3.3.11 and 3.1: escaped where it must be, folded at 75 octets, whole once read.
@pytest.mark.parametrize("note", ["a, b; c\\d", "two\nlines", "Schlüssel am Tresen, " * 20])
def test_note_when_it_has_signs_of_the_format_then_vobject_reads_it_whole(
    fan: Fan, note: str
) -> None:
    text = write(booked(fan.site, technician(), note=note))
    assert max(map(len, text.encode().split(b"\r\n"))) <= 75
    event = by_vobject(text).vevent
    assert (event.description.value, event.location.value) == (note, fan.site.address)


def test_booking_when_withdrawn_then_vobject_reads_it_cancelled(fan: Fan) -> None:
    booking = booked(fan.site, technician())
    gone = withdraw_booking(booking_id=booking.pk, seen=0, reason="x", by=planner(), now=NOW)
    event = by_vobject(write(gone)).vevent
    told = (event.uid.value, event.status.value, event.sequence.value)
    assert told == (str(booking.pk), "CANCELLED", "1")


# RFC 5545, 3.6: a calendar holds at least one component.
def test_calendar_when_nothing_is_booked_then_valid_all_the_same() -> None:
    text = write()
    assert [each.name for each in by_vobject(text).components()] == ["VTIMEZONE"]
    assert is_calendar(text)
