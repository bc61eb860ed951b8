"""A technician's day by mail: when it is told, told again, and what stands in it."""

from __future__ import annotations

import datetime as dt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from icalendar import Calendar

from fleet.models import Fan, Person, Site
from schedules.bookings.services import move_booking, terms_of, withdraw_booking
from schedules.due.reckoning import reckon_fleet
from schedules.models import Booking, Notice
from schedules.notices.day import day_letters
from schedules.notices.sending import send_notices
from tests.bookings.booked import NOW, TUESDAY, booked, planner, technician
from tests.notices.letters import mail_server, overdue_fan, write
from tests.schedules.fans import make_fan, walk
from visits.models import Action, Finding

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)
EVENING = dt.datetime(2026, 11, 30, 23, tzinfo=dt.UTC)
"""Monday, 17:00 in Chicago (UTC-6): the working evening before TUESDAY."""


@pytest.fixture
def fan(db: None) -> Fan:
    """A fan of whom its owner has had this week's letter."""
    return overdue_fan(address="106 Signal Hill", access_notes="hatch by the dry store")


@pytest.fixture
def park(db: None) -> Person:
    return technician()


def days() -> list[Notice]:
    return list(Notice.objects.filter(kind="day").order_by("pk"))


def events(notice: Notice) -> list[tuple[str, str, int]]:
    """UID, status and sequence of each event in its calendar."""
    told = Calendar.from_ical(notice.calendar).events
    return sorted((str(each.uid), str(each["STATUS"]), int(each["SEQUENCE"])) for each in told)


def move(booking: Booking, **terms: object) -> Booking:
    asked = terms_of(booking).__class__(**{**vars(terms_of(booking)), **terms})
    return move_booking(
        booking_id=booking.pk, seen=booking.sequence, terms=asked, by=planner(), now=EVENING
    )


def withdraw(booking: Booking) -> Booking:
    return withdraw_booking(
        booking_id=booking.pk, seen=booking.sequence, reason="kitchen closed", by=planner(),
        now=EVENING,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("day", "at", "letters"),
    [
        ("2026-12-01", "2026-11-30T22:59", 0),
        ("2026-12-01", "2026-11-30T23:00", 1),
        ("2026-12-01", "2026-12-02T05:59", 1),
        ("2026-12-01", "2026-12-02T06:00", 0),
        # Monday is told on Friday, Saturday too
        ("2026-12-07", "2026-12-04T23:00", 1),
        ("2026-12-05", "2026-12-04T23:00", 1),
        ("2026-12-07", "2026-12-04T22:59", 0),
    ],
)
def test_day_then_told_from_the_working_evening_before_until_it_is_over(
    fan: Fan, park: Person, day: str, at: str, letters: int
) -> None:
    booked(fan.site, park, dt.date.fromisoformat(day))
    write(dt.datetime.fromisoformat(f"{at}+00:00"))
    assert len(days()) == letters


def test_day_when_nothing_changes_then_told_once(fan: Fan, park: Person) -> None:
    booked(fan.site, park)
    for hours in (0, 1, 14, 20):
        write(EVENING + dt.timedelta(hours=hours))
    assert [(n.addressee, n.period, n.address) for n in days()] == [
        (f"person-{park.pk}", "2026-12-01", "jo@rounds.example")
    ]


def test_day_when_booked_too_late_for_the_evening_then_told_at_once(fan: Fan, park: Person) -> None:
    noon = dt.datetime(2026, 12, 1, 18, tzinfo=dt.UTC)
    booked(fan.site, park, hours=(15, 16), now=noon)
    write(noon)
    assert len(days()) == 1


def test_day_when_moved_within_then_told_again_under_the_same_uid(fan: Fan, park: Person) -> None:
    booking = booked(fan.site, park)
    write(EVENING)
    move(booking, from_minute=780, until_minute=900)
    write(EVENING + DAY / 24)
    first, second = days()
    assert (second.period, second.subject) == (
        "2026-12-01.2",
        "Changed: Tue 1 Dec: Roof of EF-1 at 13:00",
    )
    assert [events(n) for n in (first, second)] == [
        [(str(booking.pk), "CONFIRMED", 0)],
        [(str(booking.pk), "CONFIRMED", 1)],
    ]
    assert "13:00–15:00  Roof of EF-1 [changed]" in second.text


def test_day_when_its_only_visit_is_withdrawn_then_told_and_cancelled(
    fan: Fan, park: Person
) -> None:
    booking = booked(fan.site, park)
    write(EVENING)
    withdraw(booking)
    write(EVENING + DAY / 24)
    write(EVENING + DAY / 12)
    _, second = days()
    assert second.subject == "Changed: no roofs on Tue 1 Dec"
    assert "Roof of EF-1: withdrawn (kitchen closed)." in second.text
    assert events(second) == [(str(booking.pk), "CANCELLED", 1)]


def test_day_when_a_visit_is_moved_to_another_day_then_the_calendar_moves_it(
    fan: Fan, park: Person
) -> None:
    booking = booked(fan.site, park)
    write(EVENING)
    move(booking, day=TUESDAY + 2 * DAY)
    write(EVENING + DAY / 24)
    _, second = days()
    (event,) = Calendar.from_ical(second.calendar).events
    assert (event.start.date(), str(event["STATUS"])) == (TUESDAY + 2 * DAY, "CONFIRMED")
    assert "Roof of EF-1: moved to Thu 3 Dec 2026, 9:00–11:00." in second.text


def test_day_when_given_to_another_then_both_are_told(fan: Fan, park: Person) -> None:
    booking = booked(fan.site, park)
    write(EVENING)
    move(booking, technician=technician("Ada Quill"))
    write(EVENING + DAY / 24)
    assert [(n.addressee == f"person-{park.pk}", events(n)[0][1]) for n in days()] == [
        (True, "CONFIRMED"),
        (True, "CANCELLED"),
        (False, "CONFIRMED"),
    ]


def test_day_when_withdrawn_before_it_was_told_then_nobody_is(fan: Fan, park: Person) -> None:
    withdraw(booked(fan.site, park))
    write(EVENING)
    assert days() == []


@pytest.mark.parametrize(
    ("facts", "told"), [({"email": ""}, ["Jo Park"]), ({"is_active": False}, [])]
)
def test_day_when_there_is_nobody_to_tell_then_said(
    fan: Fan, park: Person, facts: dict[str, object], told: list[str]
) -> None:
    booked(fan.site, park)
    Person.objects.filter(pk=park.pk).update(**facts)
    assert write(EVENING).unreachable == told


def test_day_then_roofs_in_order_of_time_those_without_last(fan: Fan, park: Person) -> None:
    others = [make_fan(f"EF-{number}").site for number in (2, 3)]
    booked(others[0], park, hours=None)
    booked(fan.site, park, hours=(13, 14))
    booked(others[1], park, hours=(7, 9))
    write(EVENING)
    (notice,) = days()
    places = [notice.text.index(f"Roof of EF-{number}") for number in (3, 1, 2)]
    assert places == sorted(places)
    assert notice.subject == "Tue 1 Dec: 3 roofs, first Roof of EF-3 at 7:00"


def test_days_when_several_are_told_then_each_with_its_own_roofs(fan: Fan, park: Person) -> None:
    """Friday evening: Jo's Saturday, Jo's Monday and Ada's Monday."""
    friday = dt.datetime(2026, 12, 4, 23, tzinfo=dt.UTC)
    ada = technician("Ada Quill")
    sites = [fan.site, overdue_fan("EF-2").site, overdue_fan("EF-3").site]
    for site, person, day in zip(sites, (park, park, ada), (5, 7, 7), strict=True):
        booked(site, person, dt.date(2026, 12, day))
    write(friday)
    told = {(n.addressee, n.period): n.text for n in days()}
    tags = {
        key: [tag for tag in ("EF-1", "EF-2", "EF-3") if f"  {tag}: overdue" in text]
        for key, text in told.items()
    }
    assert tags == {
        (f"person-{park.pk}", "2026-12-05"): ["EF-1"],
        (f"person-{park.pk}", "2026-12-07"): ["EF-2"],
        (f"person-{ada.pk}", "2026-12-07"): ["EF-3"],
    }


FACTS = [
    "9:00–11:00  Roof of EF-1", "106 Signal Hill", "Way up: 15 minutes; hatch by the dry store",
    "Note: ask for the shift lead", "EF-1: overdue: was due Mon 9 Feb, open finding",
    "STOP: The guard is off", "Last look Mon 9 Feb 2026 (walk-through):", "guard stop",
    "Belt replaced Mon 9 Feb 2026.", "Failed Sun 8 Feb 2026: motor, stopped by itself.",
    "Asked for: When to grease the bearings cannot be told",
    "Mind: Hinge or hold-open catch was last seen at fault: do not tip it",
    "Lock out at the fan", "it may windmill", "Prove the tester", "hold charge", "Mark phase order",
    "Torque to the maker's figure", "Roof edges, weather and working alone",
    "Local codes, the maker's instructions and licensed people come before",
]  # fmt: skip


@pytest.fixture
def sheet(fan: Fan, park: Person) -> Notice:
    """The letter about a fan with a past that says something."""
    fan.machines.update(bearings="greased", speed_rpm=None)
    check = walk(fan, "2026-02-09", {"guard": "stop", "hinge": "act"}, guard="off", hinge="broken")
    Action.objects.create(visit=check.visit, fan=fan, kind="replaced", item="belt")
    Finding.objects.create(
        visit=check.visit, fan=fan, subject="motor", item="motor", failure_mode="UST",
        severity="critical", verdict="act", loss_of_function=True, failed_on="2026-02-08",
    )  # fmt: skip
    booked(fan.site, park, note="ask for the shift lead")
    write(EVENING)
    return days()[0]


@pytest.mark.parametrize("fact", FACTS)
def test_day_then_tells(sheet: Notice, fact: str) -> None:
    assert fact in sheet.text


def test_day_as_a_page_then_says_the_same(sheet: Notice) -> None:
    bare = ["106 Signal Hill", "The guard is off", "Belt replaced", "Torque", "ask for the shift"]
    assert [fact in sheet.html for fact in bare] == [True] * 5


def test_day_when_sent_then_the_calendar_arrives_whole(fan: Fan, park: Person) -> None:
    booking = booked(fan.site, park)
    write(EVENING)
    with mail_server() as inbox:
        send_notices(clock=lambda: EVENING)
    mail = next(mail for mail in inbox.taken if mail["To"] == park.email)
    part = next(mail.iter_attachments())
    # RFC 6047, 2.4: text/calendar names the object's method.
    assert (part.get_content_type(), part["Content-Type"].params["method"]) == (
        "text/calendar",
        "PUBLISH",
    )
    told = Calendar.from_ical(part.get_payload(decode=True))
    assert [str(event.uid) for event in told.events] == [str(booking.pk)]
    assert mail["Auto-Submitted"] == "auto-generated"


def test_days_when_more_are_told_then_no_more_questions(fan: Fan, park: Person) -> None:
    booked(fan.site, park)
    reckon_fleet(now=NOW)
    counts = []
    for number in range(2):
        with CaptureQueriesContext(connection) as asked:
            letters = list(day_letters(EVENING))
            for letter in letters:
                letter.words()
        counts.append(len(asked))
        for extra in range(4):
            site: Site = overdue_fan(f"EF-{number}{extra}").site
            booked(site, technician(f"Jo{extra} P{number}{extra}"))
        reckon_fleet(now=NOW)
    assert counts[1] == counts[0]
