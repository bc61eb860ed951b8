"""Two weeks without an answer: those who manage are told, once a week, of each silent owner."""

from __future__ import annotations

import datetime as dt
import re

import pytest

from fleet.models import Fan, Owner, OwnerLink, Person, Site
from schedules.models import Booking, Notice, Subscription
from schedules.notices.leaving import leave
from tests.notices.letters import ADDRESS, at, overdue_fan, told, write
from tests.schedules.fans import make_fan, walk
from visits.models import Decision, Event, Visit

pytestmark = pytest.mark.django_db
MANAGER = "mara@here.example"
WEEK = dt.timedelta(days=7)
# ISO weeks 25, 26 and 27 of 2026 begin on 15, 22 and 29 June.
MONDAYS = ("2026-06-15", "2026-06-22", "2026-06-29", "2026-07-06")


@pytest.fixture(autouse=True)
def mara() -> Person:
    return Person.objects.create_user("mara", MANAGER, role="manager")


def silent_fan() -> Fan:
    """Overdue since April, last seen in February."""
    fan = overdue_fan()
    Visit.objects.update(received_at=at("2026-02-01 12:00"))
    return fan


def write_on(*days: str) -> list[str]:
    """The periods of the letters to managers, where jobs ran at nine on those days."""
    for day in days:
        write(at(f"{day} 09:00"))
    return [notice.period for notice in told("unanswered")]


def test_owner_silent_for_two_weeks_then_managers_told_once_in_each_week_after() -> None:
    silent_fan()
    days = [f"2026-06-{day}" for day in (15, 16, 22, 23, 26, 29, 30)]
    assert write_on(*days, "2026-07-01", "2026-07-06") == ["2026-W27", "2026-W28"]


# ISO 8601: week 53 of 2026 is followed by week 1 of 2027, whose Monday is 4 January.
def test_owner_silent_over_new_year_then_weeks_follow_each_other() -> None:
    silent_fan()
    assert write_on("2026-12-21", "2026-12-28", "2027-01-04") == ["2027-W01"]


def test_owner_when_a_week_went_without_a_letter_then_not_two_in_a_row() -> None:
    silent_fan()
    assert write_on("2026-06-15", "2026-06-29", "2026-07-06") == []


def visited(fan: Fan) -> None:
    Visit.objects.filter(pk=walk(fan, "2026-06-17").visit_id).update(
        received_at=at("2026-06-17 12:00")
    )


def decided(fan: Fan, given: str = "question", on: str = "2026-06-17") -> None:
    Decision.objects.create(
        fan=fan, subject="curb", answer=given, decided_on=on, received_at=at(f"{on} 12:00"),
    )  # fmt: skip


def said_it_runs(fan: Fan) -> None:
    Event.objects.create(
        kind="storm", site=fan.site, started_on="2026-06-16", ended_on="2026-06-16",
        running_on="2026-06-17", received_at=at("2026-06-17 12:00"), payload_sha256="0" * 64,
    )  # fmt: skip


def booked(fan: Fan, day: str = "2026-07-20") -> Booking:
    theo = Person.objects.create_user("theo", role="technician")
    then = at("2026-06-17 12:00")
    return Booking.objects.create(
        site=fan.site, technician=theo, day=day, booked_at=then, booked_by=theo, changed_at=then,
        changed_by=theo,
    )  # fmt: skip


@pytest.mark.parametrize("how", [decided, said_it_runs, booked])
def test_owner_when_anything_came_from_there_then_nobody_is_told(how: object) -> None:
    fan = silent_fan()
    write_on(*MONDAYS[:1])
    how(fan)  # type: ignore[operator]
    assert write_on(*MONDAYS[1:3]) == []


def test_owner_when_somebody_was_at_one_of_its_kitchens_then_nobody_is_told() -> None:
    silent_fan()
    other = overdue_fan("EF-2")
    write_on(*MONDAYS[:1])
    visited(other)
    assert write_on(*MONDAYS[1:3]) == []


def test_owner_when_it_fell_silent_again_then_told_two_weeks_later() -> None:
    fan = silent_fan()
    write_on(*MONDAYS[:1])
    decided(fan)
    assert write_on(*MONDAYS[1:]) == ["2026-W28"]


def test_owner_no_longer_overdue_then_nobody_is_told() -> None:
    fan = silent_fan()
    write_on(*MONDAYS[:2])
    walk(fan, "2026-06-01").visit.inspections.create(system=fan.system, qualified=True)
    Visit.objects.filter(local_on="2026-06-01").update(received_at=at("2026-06-01 12:00"))
    assert write_on(MONDAYS[2]) == []


@pytest.mark.parametrize(
    ("local", "letters"),
    [("2026-06-29 07:59", 0), ("2026-06-29 08:00", 1), ("2026-06-27 09:00", 0)],
)
def test_letter_then_in_working_hours_of_the_office(local: str, letters: int) -> None:
    silent_fan()
    write_on(*MONDAYS[:2])
    write(at(local))
    assert len(told("unanswered")) == letters


def test_letter_then_names_owner_kitchen_fan_days_and_what_became_of_the_letters() -> None:
    silent_fan()
    Owner.objects.update(phone="555-0117")
    write_on(*MONDAYS[:1])
    Notice.objects.update(sent_at=at("2026-06-15 09:02"))
    write_on(*MONDAYS[1:3])
    (letter,) = told("unanswered")
    assert (letter.address, letter.subject) == (
        MANAGER, "Nothing heard for 2 weeks: Alder Kitchens",
    )  # fmt: skip
    for part in (
        "Alder Kitchens: nothing heard for 2 weeks; phone 555-0117",
        "  Roof of EF-1\n    EF-1: overdue by 75 days. Walk-through: last complete one",
        f"Week 25, to {ADDRESS}: Overdue: exhaust fan EF-1 at Roof of EF-1. Sent Mon 15 Jun 2026",
        f"Week 26, to {ADDRESS}: Overdue: exhaust fan EF-1 at Roof of EF-1. Written Mon 22 Jun",
        "09:00 CDT; goes within minutes.",
    ):
        assert part in letter.text


def test_letter_of_several_owners_then_one_and_counts_them() -> None:
    silent_fan()
    other = overdue_fan("EF-2")
    other.site.owner = Owner.objects.create(name="Dory's Diner", email="dory@diner.example")
    other.site.save()
    Visit.objects.update(received_at=at("2026-02-01 12:00"))
    write_on(*MONDAYS[:3])
    (letter,) = told("unanswered")
    assert letter.subject == "Nothing heard for 2 weeks: Alder Kitchens and 1 more"
    assert ("Alder Kitchens" in letter.text, "Dory's Diner" in letter.text) == (True, True)


def test_owner_when_it_answered_a_letter_then_only_those_after_it_are_counted() -> None:
    fan = silent_fan()
    write_on("2026-06-08", *MONDAYS[:1])
    decided(fan)
    write_on(*MONDAYS[1:])
    (letter,) = told("unanswered")
    assert letter.subject == "Nothing heard for 2 weeks: Alder Kitchens"


def has_left(owner: Owner, on: str = "2026-06-18") -> None:
    """By the link of its weekly letter, at noon."""
    row = Subscription.objects.create(kind="overdue", addressee=f"owner-{owner.pk}", owner=owner)
    leave(subscription=row, now=at(f"{on} 12:00"))


def test_owner_when_it_left_the_letters_then_its_silence_is_told_all_the_same() -> None:
    owner = silent_fan().site.owner
    write_on(*MONDAYS[:1])
    has_left(owner)
    assert write_on(*MONDAYS[1:]) == ["2026-W27", "2026-W28"]
    letter = told("unanswered")[0]
    assert "  They left the weekly letters on Thu 18 Jun 2026: no email tells them" in letter.text
    assert "at Roof of EF-1. Not sent: they have left these letters." in letter.text


def test_owner_when_it_left_the_letters_then_none_goes_and_none_counts_as_failed() -> None:
    has_left(silent_fan().site.owner, "2026-06-12")
    write_on(*MONDAYS[:2])
    now = at("2026-06-22 10:00")
    letters = Notice.objects.filter(kind="overdue")
    assert (letters.count(), letters.owed(now).count()) == (2, 0)
    assert (Notice.objects.failed().count(), OwnerLink.objects.open_at(now).count()) == (0, 0)


def test_owner_when_it_left_and_somebody_was_there_then_nobody_is_told() -> None:
    fan = silent_fan()
    other = overdue_fan("EF-2")
    has_left(fan.site.owner, "2026-06-12")
    write_on(*MONDAYS[:1])
    visited(other)
    assert write_on(*MONDAYS[1:3]) == []


def silent_owners(count: int) -> None:
    """As many, each with a fan whose walk-through is a day older than that of the one before."""
    for number in range(count):
        fan = make_fan(f"EF-{number}")
        day = dt.date(2026, 2, 28) - number * dt.timedelta(days=1)
        walk(fan, str(day)).visit.inspections.create(system=fan.system, qualified=True)
        fan.site.owner = Owner.objects.create(name=f"Owner {number:02}", email=ADDRESS)
        fan.site.save()
    Visit.objects.update(received_at=at("2026-02-01 12:00"))


def test_letter_of_many_then_the_worst_first_and_the_rest_counted() -> None:
    silent_owners(12)
    write_on(*MONDAYS[:3])
    (letter,) = told("unanswered")
    assert letter.subject == "Nothing heard for 2 weeks: Owner 11 and 11 more"
    named = re.findall(r"^Owner (\d\d): nothing heard", letter.text, re.MULTILINE)
    assert named == [f"{number:02}" for number in range(11, 1, -1)]
    assert "\nAnd 2 more owners, overdue less long.\n" in letter.text


def test_letter_of_an_owner_of_many_fans_then_names_five_and_counts_the_rest() -> None:
    silent_owners(7)
    for site in Site.objects.all():
        site.owner = Owner.objects.get(name="Owner 00")
        site.save()
    write_on(*MONDAYS[:3])
    (letter,) = told("unanswered")
    assert re.findall(r"    (EF-\d): overdue", letter.text) == [f"EF-{n}" for n in (6, 5, 4, 3, 2)]
    assert "  and 2 more fans overdue\n" in letter.text


def test_letter_when_owners_are_silent_for_unlike_times_then_its_subject_says_both() -> None:
    silent_owners(2)
    Notice.objects.all().delete()
    first = Fan.objects.get(tag="EF-1")
    write_on("2026-06-08", *MONDAYS[:1])
    decided(Fan.objects.get(tag="EF-0"), on="2026-06-10")
    write_on(*MONDAYS[1:3])
    (letter,) = told("unanswered")[-1:]
    assert letter.subject == "Nothing heard for 2 to 3 weeks: Owner 01 and 1 more"
    assert first.tag in letter.text


def test_owner_while_somebody_is_booked_there_then_nobody_is_told() -> None:
    booked(silent_fan())
    assert write_on(*MONDAYS) == []


def test_owner_when_the_booking_is_withdrawn_then_told() -> None:
    row = booked(silent_fan())
    row.withdrawn_at, row.withdrawn_reason = at("2026-06-18 12:00"), "no time"
    row.save()
    assert write_on(*MONDAYS[:3]) == ["2026-W27"]


def test_owner_when_nobody_came_on_the_day_booked_then_told_two_weeks_later() -> None:
    booked(silent_fan(), "2026-06-18")
    assert write_on(*MONDAYS) == ["2026-W28"]
