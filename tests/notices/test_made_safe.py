"""Fans out of service: told the day they are made safe, chased until a full walk-through."""

from __future__ import annotations

import datetime as dt

import pytest

from fleet.models import Fan, Owner
from schedules.notices.made_safe.gathering import chased
from tests.notices.letters import ADDRESS, at, told, write
from tests.schedules.fans import make_fan, walk
from visits.models import MadeSafe, Visit

pytestmark = pytest.mark.django_db
SATURDAY = "2026-06-06"


def out_of_service(on: str = SATURDAY, **slip: object) -> MadeSafe:
    """A fan stopped and locked off at 10:00 that day."""
    check = walk(make_fan(), on, {"guard": "stop"}, guard="off")
    Visit.objects.update(received_at=check.visit.began_at)
    check.visit.inspections.create(system=check.fan.system, qualified=True)
    Owner.objects.update(email=ADDRESS)
    facts = {
        "told": "Rosa Field, kitchen manager", "lock_holder": "Theo Park",
        "cook_line_stopped": True, "restarts_when": "a new guard fitted", **slip,
    }  # fmt: skip
    return MadeSafe.objects.create(visit=check.visit, fan=check.fan, **facts)


def days_written(first: str, last: str) -> list[str]:
    """The days on which a letter was written, where jobs ran at 10:30 every day."""
    day, end = dt.date.fromisoformat(first), dt.date.fromisoformat(last)
    found = []
    while day <= end:
        before = len(told("made-safe"))
        write(at(f"{day} 10:30"))
        found += [day.isoformat()] * (len(told("made-safe")) - before)
        day += dt.timedelta(days=1)
    return found


def test_slip_then_told_the_same_day_and_every_second_working_day_then_every_fifth() -> None:
    out_of_service()
    # working days after Saturday 6 June; Friday 19 June is a holiday (5 U.S.C. 6103(a))
    assert days_written(SATURDAY, "2026-07-08") == [
        "2026-06-06", "2026-06-09", "2026-06-11", "2026-06-15", "2026-06-17", "2026-06-22",
        "2026-06-29", "2026-07-07",
    ]  # fmt: skip


def test_slip_with_a_promised_day_then_quiet_until_it_has_passed() -> None:
    out_of_service(promised_on=dt.date(2026, 6, 12))
    # promised for a Friday: the next working morning is Monday's
    assert days_written(SATURDAY, "2026-06-19") == ["2026-06-06", "2026-06-15", "2026-06-17"]
    first, late, _ = told("made-safe")
    assert "Its restart is promised for Fri 12 Jun 2026." in first.text
    assert "promised for Fri 12 Jun 2026. That day has passed" in late.text


def test_slip_when_promised_for_another_day_by_a_correction_then_told_anew() -> None:
    slip = out_of_service(promised_on=dt.date(2026, 6, 12))
    days_written(SATURDAY, "2026-06-08")
    slip.promised_on = dt.date(2026, 6, 16)
    slip.save()
    assert days_written("2026-06-09", "2026-06-17") == ["2026-06-09", "2026-06-17"]


@pytest.mark.parametrize(
    ("worked", "letters"),
    [(0, 0), (1, 0), (2, 1), (3, 1), (4, 2), (10, 5), (14, 5), (15, 6), (19, 6), (20, 7)],
)
def test_chasing_then_by_working_days(worked: int, letters: int) -> None:
    assert chased(worked) == letters


def test_slip_when_a_full_walk_through_followed_then_no_more() -> None:
    slip = out_of_service()
    days_written(SATURDAY, "2026-06-09")
    walk(slip.fan, "2026-06-10")
    assert days_written("2026-06-10", "2026-06-30") == []


def test_slip_when_only_a_part_was_looked_at_then_still_chased() -> None:
    slip = out_of_service()
    days_written(SATURDAY, "2026-06-09")
    walk(slip.fan, "2026-06-10", guard="on", wheel=None)
    assert days_written("2026-06-10", "2026-06-12") == ["2026-06-11"]


def test_slip_when_nothing_ran_then_missed_letters_are_not_sent_beside_a_later_one() -> None:
    out_of_service()
    assert days_written("2026-06-15", "2026-06-16") == ["2026-06-15"]


@pytest.mark.parametrize(
    ("local", "letters"),
    [("2026-06-06 21:00", 0), ("2026-06-06 20:30", 1), ("2026-06-09 07:30", 0)],
)
def test_slip_then_first_in_waking_hours_and_later_in_working_ones(
    local: str, letters: int
) -> None:
    out_of_service()
    write(at(local))
    assert len(told("made-safe")) == letters


@pytest.mark.parametrize("how", ["old_files", "onboarding"])
def test_slip_when_only_brought_in_then_nobody_is_mailed(how: str) -> None:
    out_of_service()
    Visit.objects.update(here=False)
    if how == "onboarding":
        Fan.objects.update(onboarding_on=dt.date(2026, 7, 1))
    assert days_written(SATURDAY, "2026-06-12") == []


def test_slip_then_its_owner_gets_one_letter_that_says_what_was_found_too() -> None:
    out_of_service(promised_on=dt.date(2026, 6, 12))
    write(at(f"{SATURDAY} 10:30"))
    assert told("critical") == []
    (letter,) = told("made-safe")
    assert letter.subject == "Out of service: exhaust fan EF-1 at Roof of EF-1"
    for part in (
        "The guard is off: moving parts are within reach.",
        "Told on Sat 6 Jun 2026: Rosa Field, kitchen manager. Cooking under it was stopped.",
        "The lock is held by Theo Park.",
        "What it takes to run again: a new guard fitted, and a complete inspection",
        "Its restart is promised for Fri 12 Jun 2026.",
    ):
        assert part in letter.text


def test_slip_when_the_cook_line_went_on_then_says_that_it_has_to_stop() -> None:
    out_of_service(cook_line_stopped=False)
    write(at(f"{SATURDAY} 10:30"))
    assert "had not been stopped then: it has to stop" in told("made-safe")[0].text


def test_slip_chased_then_says_for_how_long() -> None:
    out_of_service()
    days_written(SATURDAY, "2026-06-09")
    assert told("made-safe")[1].subject == (
        "Still out of service after 3 days: exhaust fan EF-1 at Roof of EF-1"
    )
