"""A week published: bookings follow it, versions stay, and technicians hear of it."""

from __future__ import annotations

import datetime as dt

import pytest

from fleet.models import Fan, Person
from fleet.services.errors import RegisterError
from schedules.bookings.calendar import told_by
from schedules.bookings.services import (
    Move,
    Terms,
    move_booking,
    rebook,
    terms_of,
    withdraw_booking,
)
from schedules.due.reckoning import reckon_fleet
from schedules.models import Booking, PlanVersion
from schedules.notices.day.gathering import day_letters
from schedules.rounds.errors import WeekPlanError
from schedules.rounds.services.editing import move_stop, take_out_stop, undo
from schedules.rounds.services.planning import Search, plan_week
from schedules.rounds.services.publishing import publish_week
from tests.bookings.booked import NOW, booked, planner
from tests.rounds.weeks import (
    MONDAY,
    TUESDAY,
    WEDNESDAY,
    due_fan,
    park,
    plan,
    quill,
    stop_at,
    stops,
    who,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def able(fans: list[Fan]) -> Person:
    """Jo Park, for whom all is planned and published as version 1, revision 2."""
    person = park()
    plan()
    publish_week(who(1))
    return person


def standing() -> list[Booking]:
    return list(Booking.objects.standing().order_by("day", "from_minute"))


def test_week_when_published_then_each_stop_is_booked_in_its_hours(able: Person) -> None:
    told = [(b.site_id, b.day, b.from_minute, b.until_minute) for b in standing()]
    planned = [(s.site_id, s.round.day, s.start_minute, s.leave_minute) for s in stops()]
    assert told == planned
    assert {booking.note for booking in standing()} == {f"Planned: EF-{n}." for n in (1, 2, 3)}


def test_site_in_another_zone_when_published_then_booked_by_its_own_clock(db: None) -> None:
    due_fan(1)
    due_fan(2)
    east = due_fan(3, time_zone="America/New_York")
    park()
    plan()
    publish_week(who(1))
    minute = Booking.objects.get(site=east.site).from_minute
    assert minute == stop_at(east).start_minute + 60


def test_week_when_nothing_changed_then_published_again_without_touching_a_booking(
    able: Person,
) -> None:
    told = publish_week(who(2))
    assert (told.made, told.moved, told.withdrawn, told.differences) == (0, 0, 0, [])
    assert [booking.sequence for booking in standing()] == [0, 0, 0]


def test_stop_when_moved_then_published_as_the_same_booking_on_that_day(
    fans: list[Fan], able: Person
) -> None:
    stop = stop_at(fans[0])
    revision = move_stop(who(2), stop=stop.key, technician=able.pk, day=WEDNESDAY).revision
    told = publish_week(who(revision))
    booking = Booking.objects.get(pk=stop.booking_id)
    assert (booking.day, booking.sequence) == (WEDNESDAY, 1)
    assert ("moved", fans[0].site_id) in [(d.kind, d.stop.site_id) for d in told.differences]


def test_stop_when_given_to_another_then_the_first_ones_booking_is_withdrawn(
    fans: list[Fan], able: Person
) -> None:
    stop, other = stop_at(fans[0]), quill()
    revision = move_stop(who(2), stop=stop.key, technician=other.pk, day=WEDNESDAY).revision
    publish_week(who(revision))
    old = Booking.objects.get(pk=stop.booking_id)
    assert old.withdrawn_reason == "given to A. Quill"
    assert Booking.objects.standing().get(site=fans[0].site).technician == other


def test_stop_when_taken_out_then_its_booking_is_withdrawn(fans: list[Fan], able: Person) -> None:
    revision = take_out_stop(who(2), stop=stop_at(fans[0]).key).revision
    told = publish_week(who(revision))
    assert (told.withdrawn, [d.kind for d in told.differences][:1]) == (1, ["gone"])
    assert not Booking.objects.standing().filter(site=fans[0].site).exists()


def test_booking_made_by_hand_when_published_then_left_as_it_is(db: None) -> None:
    fan, person = due_fan(1), park()
    booking = booked(fan.site, person, TUESDAY, (9, 11), note="ask for the cook")
    plan()
    told = publish_week(who(1))
    booking.refresh_from_db()
    assert (told.made, told.moved, booking.sequence, booking.note) == (0, 0, 0, "ask for the cook")


def test_booking_made_by_hand_when_taken_out_then_withdrawn_and_not_planned_again(
    db: None,
) -> None:
    fan, person = due_fan(1), park()
    booked(fan.site, person, TUESDAY, (9, 11))
    plan()
    take_out_stop(who(1), stop=stop_at(fan).key)
    plan(fresh=True)
    assert stop_at(fan).booking_id is None
    publish_week(who(3))
    assert [stop.booking_id for stop in stops()] == [each.pk for each in standing()]


def test_booking_when_changed_beside_the_plan_then_nothing_is_published(
    fans: list[Fan], able: Person
) -> None:
    stop = stop_at(fans[0])
    booking = Booking.objects.get(pk=stop.booking_id)
    terms = Terms(able, TUESDAY, 800, 860)
    move_booking(
        booking_id=booking.pk, seen=0, terms=terms, by=planner(), now=NOW + dt.timedelta(hours=1)
    )
    revision = move_stop(who(2), stop=stop.key, technician=able.pk, day=WEDNESDAY).revision
    with pytest.raises(RegisterError, match=r"Roof of EF-1: D\. Reyes changed this booking"):
        publish_week(who(revision))
    assert PlanVersion.objects.filter(number__gt=0).count() == 1


def test_draft_when_its_technician_left_then_not_published_and_told_in_words(db: None) -> None:
    due_fan(1)
    person, revision = park(), plan().revision
    Person.objects.filter(pk=person.pk).update(is_active=False)
    with pytest.raises(
        RegisterError, match=r"^Roof of EF-1: J\. Park no longer works here; choose"
    ):
        publish_week(who(revision))


@pytest.mark.parametrize("way", ["plan", "take_out"])
def test_booking_when_withdrawn_beside_the_plan_then_told_what_to_do_and_that_helps(
    fans: list[Fan], able: Person, way: str
) -> None:
    stop = stop_at(fans[0])
    assert stop.booking_id
    withdraw_booking(
        booking_id=stop.booking_id, seen=0, reason="fair day", by=planner(), now=NOW
    )  # fmt: skip
    told = r"its booking was withdrawn \(fair day\)\. Have the week planned again, .* take the stop"
    with pytest.raises(RegisterError, match=told):
        publish_week(who(2))
    if way == "plan":
        plan()
    else:
        take_out_stop(who(2), stop=stop.key)
    assert publish_week(who(3)).version.number == 2


def test_booking_when_made_beside_the_plan_then_left_alone_and_told(
    fans: list[Fan], able: Person
) -> None:
    extra = booked(due_fan(7).site, able, WEDNESDAY, (9, 10))
    assert publish_week(who(2)).beside == [extra]


def test_version_when_the_draft_changes_then_stays(fans: list[Fan], able: Person) -> None:
    version = PlanVersion.objects.get(number=1)
    before = [(s.key, s.round.day, s.start_minute) for s in stops(version)]
    take_out_stop(who(2), stop=stop_at(fans[0]).key)
    assert [(s.key, s.round.day, s.start_minute) for s in stops(version)] == before


def test_rounds_when_published_then_planning_again_leaves_them(
    fans: list[Fan], able: Person
) -> None:
    before = [(s.key, s.start_minute) for s in stops()]
    late = due_fan(9)
    plan()
    after = [(s.key, s.start_minute) for s in stops() if s.site_id != late.site_id]
    assert after == before


def test_rounds_when_refilled_then_more_stops_go_into_them(fans: list[Fan], able: Person) -> None:
    days = {stop.round.day for stop in stops()}
    late = due_fan(4)
    plan(refill=True)
    assert (stop_at(late).round.day in days, len(stops())) == (True, 4)
    assert {stop.round.published for stop in stops()} == {True}


def test_published_when_undone_then_refused(able: Person) -> None:
    with pytest.raises(WeekPlanError, match=r"published version 1 .* technicians go by it"):
        undo(who(2))


def test_week_when_never_planned_then_not_published(db: None) -> None:
    with pytest.raises(WeekPlanError, match="nothing is planned for 2026-W50"):
        publish_week(who(0))


def test_technician_when_the_week_is_published_then_is_told_the_evening_before(
    able: Person,
) -> None:
    day = stops()[0].round.day
    evening = dt.datetime(2026, 12, 4, 23, 30, tzinfo=dt.UTC)
    assert day == MONDAY
    letters = list(day_letters(evening))
    assert [letter.person for letter in letters] == [able]
    told = told_by(letters[0].words().calendar)
    assert set(told) == {stop.booking_id for stop in stops()}


def test_bookings_when_two_take_each_others_time_at_once_then_both_moved(
    fans: list[Fan], able: Person
) -> None:
    one, two = standing()[:2]
    swapped = [Move(one.pk, 0, terms_of(two)), Move(two.pk, 0, terms_of(one))]
    rebook(moves=swapped, new=[], by=planner(), now=NOW + dt.timedelta(hours=1))
    assert [b.pk for b in standing()[:2]] == [two.pk, one.pk]


def test_work_when_published_for_the_week_before_then_not_planned_again(
    fans: list[Fan], able: Person
) -> None:
    late = due_fan(4)
    reckon_fleet(now=NOW, only_stale=True)
    week = MONDAY + dt.timedelta(days=7)
    told = plan_week(monday=week, by=planner(), now=NOW, search=Search(iterations=20))
    assert [stop.site_id for stop in stops(told.draft)] == [late.site_id]
