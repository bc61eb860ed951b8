"""Owners are told of roofs onto which nobody could get: once, by a letter of its own or weekly."""

from __future__ import annotations

import datetime as dt

import pytest

from fleet.models import Fan, Owner, Person
from schedules.models import Notice
from tests.done.promises import missed
from tests.notices.letters import ADDRESS, MONDAY, overdue_fan, told, write
from tests.schedules.fans import make_fan, walk

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)
FIRST, SECOND = dt.date(2026, 6, 2), dt.date(2026, 6, 9)
TUESDAY = MONDAY + DAY


def looked_after() -> Fan:
    """A fan that is not overdue in June: walked and inspected on 1 June."""
    fan = make_fan("EF-9", roof_access_hours=[[[360, 960]]] * 7)
    walk(fan, "2026-06-01").visit.inspections.create(system=fan.system, qualified=True)
    Owner.objects.update(email=ADDRESS)
    return fan


def shut(fan: Fan, *days: dt.date) -> Fan:
    for on in days:
        missed(fan, on)
    return fan


def letters() -> list[Notice]:
    return told("no-access")


def test_roof_when_not_reached_twice_then_its_owner_is_told_once() -> None:
    shut(looked_after(), FIRST, SECOND)
    counts = [write(MONDAY + each * DAY).notices for each in (0, 0, 1, 7)]
    (letter,) = letters()
    assert (counts, letter.address, letter.period.partition(".")[2]) == (
        [1, 0, 0, 0], ADDRESS, "2026-06-02",
    )  # fmt: skip


def test_letter_then_says_what_happened_and_what_is_needed() -> None:
    shut(looked_after(), FIRST, SECOND)
    write()
    (letter,) = letters()
    for words in (
        "We could not get onto the roof on Tue 2 Jun 2026 and Tue 9 Jun 2026.",
        "EF-9 has not been looked at since Mon 1 Jun 2026.",
        "who opens for us",
        "roof open Mon–Sun 6:00–16:00",
    ):
        assert words in letter.text
        assert words in letter.html


@pytest.mark.parametrize(
    ("days", "reason"), [((FIRST,), "no_access"), ((FIRST, SECOND), "weather")]
)
def test_roof_when_once_or_for_another_reason_then_no_letter(
    days: tuple[dt.date, ...], reason: str
) -> None:
    fan = looked_after()
    for on in days:
        missed(fan, on, reason)
    assert write().notices == 0


def test_owner_when_the_weekly_letter_comes_then_it_tells_and_no_other() -> None:
    shut(overdue_fan(), FIRST, SECOND)
    write()
    (weekly,) = told("overdue")
    needs = weekly.text.index("WE NEED FROM YOU")
    assert weekly.text.index("We could not get onto the roof on Tue 2 Jun 2026") > needs
    assert "We could not get onto the roof" in weekly.html
    assert letters() == []


def test_roof_when_shut_after_the_weekly_letter_went_then_told_the_same_day() -> None:
    fan = shut(overdue_fan(), FIRST)
    write()
    shut(fan, MONDAY.date())
    write(TUESDAY)
    assert [len(told("overdue")), len(letters())] == [1, 1]


def test_owner_when_the_weekly_letters_were_left_then_told_by_a_letter_of_its_own() -> None:
    shut(overdue_fan(), FIRST, SECOND)
    Notice.objects.all().delete()
    write()
    Notice.objects.filter(kind="overdue").update(fault=Notice.LEFT, given_up_at=MONDAY)
    write(MONDAY + dt.timedelta(hours=1))
    assert len(letters()) == 1


def test_roof_when_a_day_is_heard_of_late_then_no_second_letter() -> None:
    fan = shut(looked_after(), FIRST + DAY, SECOND)
    write()
    missed(fan, FIRST, received_at=MONDAY)
    write(TUESDAY)
    assert len(letters()) == 1


def test_roof_when_looked_at_and_shut_again_then_told_again() -> None:
    fan = shut(looked_after(), FIRST, SECOND)
    write()
    walk(fan, "2026-06-16").visit.inspections.create(system=fan.system, qualified=True)
    shut(fan, dt.date(2026, 6, 18), dt.date(2026, 6, 25))
    write(MONDAY + 14 * DAY)
    assert len(letters()) == 2


def test_manager_then_reads_of_it_in_the_summary(mara: Person) -> None:
    Person.objects.update(email="mara@rounds.example")
    shut(looked_after(), FIRST, SECOND)
    write()
    (summary,) = told("summary")
    assert "NO WAY UP" in summary.text
    assert "Roof of EF-9, Alder Kitchens: EF-9, Tue 2 Jun 2026 and Tue 9 Jun 2026" in summary.text
