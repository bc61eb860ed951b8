"""Two weeks without an answer: those who manage are told, once a week, of each silent owner."""

from __future__ import annotations

import datetime as dt

import pytest

from fleet.models import Fan, Owner, Person
from schedules.models import Booking, Notice
from tests.notices.letters import ADDRESS, at, overdue_fan, told, write
from tests.schedules.fans import walk
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


def decided(fan: Fan, given: str = "question") -> None:
    Decision.objects.create(
        fan=fan, subject="curb", answer=given, decided_on="2026-06-17",
        received_at=at("2026-06-17 12:00"),
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
        MANAGER, "No answer for 2 weeks: Alder Kitchens",
    )  # fmt: skip
    for part in (
        "Alder Kitchens: no answer to 2 weekly letters in a row; phone 555-0117",
        "  Roof of EF-1\n    EF-1: overdue by 75 days. Walk-through: last complete one",
        f"2026-W25, {ADDRESS}: Overdue: exhaust fan EF-1 at Roof of EF-1. Sent Mon 15 Jun 2026",
        f"2026-W26, {ADDRESS}: Overdue: exhaust fan EF-1 at Roof of EF-1. Owed since",
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
    assert letter.subject == "No answer for up to 2 weeks from 2 owners"
    assert ("Alder Kitchens" in letter.text, "Dory's Diner" in letter.text) == (True, True)


def test_owner_when_it_answered_a_letter_then_only_those_after_it_are_counted() -> None:
    fan = silent_fan()
    write_on("2026-06-08", *MONDAYS[:1])
    decided(fan)
    write_on(*MONDAYS[1:])
    (letter,) = told("unanswered")
    assert letter.subject == "No answer for 2 weeks: Alder Kitchens"


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
