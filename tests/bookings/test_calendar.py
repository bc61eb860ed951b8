"""Bookings as calendars read them: against RFC 5545, 5546 and 7986, parsed back by icalendar."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from icalendar import Calendar, Component

from fleet.models import Fan
from schedules.bookings.calendar import calendar_of, told_by
from schedules.bookings.services import withdraw_booking
from schedules.models import Booking
from tests.bookings.booked import NOW, TUESDAY, booked, planner, technician
from tests.schedules.fans import make_fan

pytestmark = pytest.mark.django_db
CHICAGO = ZoneInfo("America/Chicago")


@pytest.fixture
def fan(db: None) -> Fan:
    return make_fan(
        address="106 Signal Hill, Wexcombe; rear door", latitude=41.5, longitude=-88.25,
        access_notes="hatch by the dry store, key with the opening cook",
    )  # fmt: skip


def write(*bookings: Booking) -> str:
    return calendar_of(bookings, NOW)


def read(text: str) -> Component:
    (event,) = Calendar.from_ical(text).events
    return event


def test_calendar_then_says_what_is_published() -> None:
    told = Calendar.from_ical(calendar_of([], NOW))
    # RFC 5545, 3.6: PRODID and VERSION once each; 3.7.2: METHOD.
    assert (told["VERSION"], told["METHOD"], bool(told["PRODID"])) == ("2.0", "PUBLISH", True)


# RFC 5545, 3.1: lines end with CRLF and have at most 75 octets without it.
def test_calendar_then_its_lines_are_folded_and_end_as_they_must(fan: Fan) -> None:
    text = write(booked(fan.site, technician(), note="Schlüssel am Tresen, " * 20))
    lines = text.encode().split(b"\r\n")
    assert (lines[-1], max(map(len, lines)) <= 75, b"\n" in b"".join(lines)) == (b"", True, False)


def test_event_when_read_back_then_the_same_moment_in_its_zone(fan: Fan) -> None:
    event = read(write(booked(fan.site, technician())))
    begin = dt.datetime(2026, 12, 1, 9, tzinfo=CHICAGO)
    assert (event.start, event.end) == (begin, begin + dt.timedelta(hours=2))
    assert str(event["DTSTART"].params["TZID"]) == "America/Chicago"


# RFC 5545, 3.2.19: each TZID has its VTIMEZONE in the same object.
def test_calendar_when_a_time_has_a_zone_then_tells_the_zone(fan: Fan) -> None:
    text = write(booked(fan.site, technician()))
    zones = [zone.tz_name for zone in Calendar.from_ical(text).timezones]
    assert zones == ["America/Chicago"] == list(set(re.findall(r"TZID=([^:;]+)", text)))


# Both sides of the clock change of 8 March 2026 (IANA): UTC-6 before, UTC-5 after.
@pytest.mark.parametrize(("day", "offset_h"), [(7, -6), (8, -5)])
def test_zone_when_clocks_change_then_told_with_both_offsets(
    fan: Fan, day: int, offset_h: int
) -> None:
    at = dt.date(2026, 3, day)
    text = write(booked(fan.site, technician(), at, now=NOW - dt.timedelta(days=275)))
    zone = Calendar.from_ical(text).timezones[0].to_tz()
    start = dt.datetime(2026, 3, day, 9, tzinfo=zone)
    assert start.utcoffset() == dt.timedelta(hours=offset_h)


# RFC 5545, 3.6.1: DTEND is the day after, for it is not part of the event.
def test_event_when_any_time_that_day_then_a_whole_day(fan: Fan) -> None:
    event = read(write(booked(fan.site, technician(), hours=None)))
    assert (event.start, event.end) == (TUESDAY, TUESDAY + dt.timedelta(days=1))
    assert event["DTSTART"].params["VALUE"] == "DATE"


# RFC 5546, 3.2.1: what PUBLISH must have, and that it has no ATTENDEE.
def test_event_then_has_what_its_method_wants(fan: Fan) -> None:
    event = read(write(booked(fan.site, technician())))
    wanted = {"UID", "DTSTAMP", "DTSTART", "ORGANIZER", "SUMMARY", "SEQUENCE", "STATUS"}
    assert (wanted - event.keys(), "ATTENDEE" in event) == (set(), False)
    assert str(event["ORGANIZER"]).startswith("mailto:")


# RFC 5545, 3.8.7.2: with a METHOD, DTSTAMP is when this object was made; in UTC.
def test_event_then_stamped_in_utc(fan: Fan) -> None:
    text = write(booked(fan.site, technician()))
    assert "DTSTAMP:20261130T140000Z" in text


# RFC 5546, 3.2.5 and 2.1.5: a cancelled event keeps its UID and has a higher SEQUENCE.
def test_event_when_withdrawn_then_cancelled_under_its_uid(fan: Fan) -> None:
    booking = booked(fan.site, technician())
    before = read(write(booking))
    gone = withdraw_booking(booking_id=booking.pk, seen=0, reason="x", by=planner(), now=NOW)
    after = read(write(gone))
    assert (after.uid, str(after["STATUS"])) == (before.uid, "CANCELLED")
    assert after.sequence == before.sequence + 1 == 1


# RFC 5545, 3.3.11: commas, semicolons and line breaks in text are escaped and read back whole.
@pytest.mark.parametrize("note", ["a, b; c\\d", "two\nlines", "BEGIN:VEVENT\r\nEND:VEVENT"])
def test_event_when_its_note_has_signs_of_the_format_then_read_back(fan: Fan, note: str) -> None:
    event: Any = read(write(booked(fan.site, technician(), note=note)))
    assert event.description.split("\n")[:-1] == note.replace("\r\n", "\n").split("\n")
    assert event.location == fan.site.address


def test_told_by_then_what_takes_place_with_its_day_and_sequence(fan: Fan) -> None:
    park = technician()
    stays, goes = booked(fan.site, park), booked(fan.site, park, hours=(13, 14))
    gone = withdraw_booking(booking_id=goes.pk, seen=0, reason="x", by=planner(), now=NOW)
    assert told_by(write(stays, gone)) == {stays.pk: (TUESDAY, 0)}
