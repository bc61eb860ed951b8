"""A week planned from what is on record, and what is left out of it."""

from __future__ import annotations

import datetime as dt

import pytest
from django.core.exceptions import PermissionDenied
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Agreement, Blocker, Person, Site, WorkingWeek
from fleet.services.working import give_days_off
from schedules.bookings.services import withdraw_booking
from schedules.due.reckoning import reckon_fleet
from schedules.rounds.errors import WeekPlanError
from schedules.rounds.services.editing import pin_stop
from schedules.rounds.services.planning import Search, plan_week
from tests.bookings.booked import NOW, booked, planner, technician
from tests.rounds.weeks import (
    MONDAY,
    TUESDAY,
    WEDNESDAY,
    due_fan,
    left_out,
    park,
    plan,
    quill,
    stop_at,
    stops,
    who,
)
from tests.schedules.fans import make_fan, walk
from visits.models import VisitAnswer

pytestmark = pytest.mark.django_db
INSPECTION = "code_inspection"


def test_week_when_planned_then_each_due_work_is_with_one_who_may_do_it() -> None:
    fans = [due_fan(number) for number in range(3)]
    able, _ = park(), quill()
    told = {
        (work.fan_id, work.skill): stop.round.technician_id
        for stop in stops(plan().draft)
        for work in stop.fans.all()
    }
    assert set(told) == {(fan.pk, skill) for fan in fans for skill in ("", INSPECTION)}
    assert {told[fan.pk, INSPECTION] for fan in fans} == {able.pk}


def test_week_when_nobody_is_qualified_then_only_the_inspection_is_left_out() -> None:
    due_fan(1)
    quill()
    plan()
    assert left_out() == {"EF-1 code_inspection": "nobody_skilled"}
    assert [len(stop.fans.all()) for stop in stops()] == [1]


def test_stop_when_told_then_within_the_shift_and_the_roofs_hours() -> None:
    fan = due_fan(1, roof_access_hours=[[[600, 720]]] * 7)
    park()
    plan()
    stop = stop_at(fan)
    assert (stop.start_minute >= 600, stop.leave_minute <= 720) == (True, True)
    # from memory: 15 min to get up there, walk-through 20, inspection 30
    assert stop.leave_minute - stop.start_minute == 15 + 20 + 30


@pytest.mark.parametrize("kind", ["lift", "permit", "second_person", "crane"])
def test_site_when_something_blocks_it_then_left_out_for_that(kind: str) -> None:
    fan = due_fan(1)
    park()
    Blocker.objects.create(site=fan.site, kind=kind, since_on=NOW.date())
    version = plan().draft
    told = {(row.reason, *row.args["names"]) for row in version.left_out.all()}
    assert told == {("blocked", kind)}


def test_fan_when_its_parts_arrive_within_the_week_then_planned_from_that_day() -> None:
    fan = due_fan(1)
    park()
    Blocker.objects.create(
        site=fan.site, fan=fan, kind="parts", since_on=NOW.date(), cleared_on=TUESDAY
    )
    plan()
    assert stop_at(fan).round.day >= TUESDAY


def test_fan_when_all_visits_bought_are_made_then_planned_once_the_owner_says_yes() -> None:
    fan = due_fan(1)
    park()
    walk(fan, "2026-06-01")
    Agreement.objects.create(owner=fan.site.owner, starts_on=dt.date(2026, 1, 1), visits_per_year=1)
    names = [row.args["names"] for row in plan().draft.left_out.all()]
    assert names == [["owners_yes"], ["owners_yes"]]
    VisitAnswer.objects.create(
        site=fan.site, year_on=dt.date(2026, 1, 1), number=2, answer="go_ahead",
        decided_on=NOW.date(), decided_by="Olga Birch", recorded_by=planner(), received_at=NOW,
    )  # fmt: skip
    plan()
    assert (left_out(), stop_at(fan).broken) == ({}, [])


def test_site_when_without_coordinates_then_named_and_left_out() -> None:
    fan = make_fan()
    park()
    told = plan()
    assert [site.pk for site in told.unplaced] == [fan.site_id]
    assert set(left_out().values()) == {"no_place"}


def test_technician_when_off_then_sent_nowhere_that_day() -> None:
    due_fan(1, roof_access_hours=[[[420, 900]], [], [], [], [], [], []])
    able = park()
    give_days_off(
        technician=able, first_on=MONDAY, last_on=MONDAY, reason="leave", by=None, now=NOW
    )
    plan()
    assert (stops(), set(left_out().values())) == ([], {"hours_miss_shifts"})


def test_week_when_nobody_has_a_base_then_says_who_and_where_to_enter_it() -> None:
    technician()
    with pytest.raises(WeekPlanError, match=r"\(Jo Park\) none has a home base .* People"):
        plan()


def test_technicians_when_everybody_is_off_then_none_is_sent_that_day() -> None:
    due_fan(1, roof_access_hours=[[[420, 900]], [], [], [], [], [], []])
    park()
    give_days_off(
        technician=None, first_on=MONDAY, last_on=MONDAY, reason="holiday", by=None, now=NOW
    )
    plan()
    assert stops() == []


def test_week_when_all_are_off_then_says_so() -> None:
    give_days_off(
        technician=park(), first_on=MONDAY, last_on=MONDAY + dt.timedelta(days=6), reason="",
        by=None, now=NOW,
    )  # fmt: skip
    with pytest.raises(WeekPlanError, match="nobody works on the days left of 2026-W50"):
        plan()


def test_week_when_past_then_refused() -> None:
    park()
    past = MONDAY - dt.timedelta(days=14)
    with pytest.raises(WeekPlanError, match="2026-W48 is past"):
        plan_week(monday=past, by=planner(), now=NOW)


def test_week_when_planned_by_a_technician_then_refused() -> None:
    with pytest.raises(PermissionDenied):
        plan_week(monday=MONDAY, by=park(), now=NOW)


def test_booking_when_made_by_hand_then_stays_as_a_pinned_stop_in_its_hours() -> None:
    fan, other = due_fan(1), due_fan(2)
    able = park()
    booking = booked(fan.site, able, TUESDAY, (9, 11))
    plan()
    stop = stop_at(fan)
    assert (stop.booking_id, stop.pinned, stop.round.day) == (booking.pk, True, TUESDAY)
    assert (stop.start_minute, stop.leave_minute) == (540, 660)
    assert stop_at(other).booking_id is None


def test_booking_when_nothing_is_due_there_then_its_time_is_kept_free() -> None:
    fan, able = due_fan(1), park()
    quiet = due_fan(2)
    booked(quiet.site, able, TUESDAY, (9, 10))
    quiet.due_state.delete()
    plan()
    assert (stop_at(quiet).extra_minutes, stop_at(fan).broken) == (45, [])


def test_booking_when_withdrawn_then_its_stop_is_gone_from_the_next_plan() -> None:
    fan, able = due_fan(1), park()
    booking = booked(fan.site, able, TUESDAY, (9, 11))
    plan()
    withdraw_booking(booking_id=booking.pk, seen=0, reason="closed", by=planner(), now=NOW)
    plan()
    assert stop_at(fan).booking_id is None


def test_week_when_planned_again_then_stops_keep_their_keys() -> None:
    for number in range(4):
        due_fan(number)
    park()
    plan()
    first = {stop.site_id: stop.key for stop in stops()}
    plan()
    assert {stop.site_id: stop.key for stop in stops()} == first


def test_week_when_planned_fresh_then_what_is_pinned_stays() -> None:
    fans = [due_fan(number) for number in range(3)]
    park()
    revision = plan().revision
    kept = stop_at(fans[0])
    pin_stop(who(revision), stop=kept.key)
    plan(fresh=True)
    stop = stop_at(fans[0])
    assert (stop.key, stop.pinned, stop.round.day) == (kept.key, True, kept.round.day)


def test_site_in_another_zone_when_planned_then_its_hours_are_turned() -> None:
    due_fan(1)
    due_fan(2)
    east = due_fan(3, time_zone="America/New_York", roof_access_hours=[[[600, 720]]] * 7)
    park()
    plan()
    stop = stop_at(east)
    # New York is an hour ahead of Chicago, where most sites stand
    assert (stop.start_minute >= 540, stop.leave_minute <= 660) == (True, True)


def test_week_when_it_holds_more_then_no_more_queries() -> None:
    park()
    counts = []
    for numbers in (range(2), range(2, 9)):
        for number in numbers:
            due_fan(number)
        plan()
        with CaptureQueriesContext(connection) as asked:
            plan_week(monday=MONDAY, by=planner(), now=NOW, search=Search(iterations=1))
        counts.append((len(asked), len(stops())))
    assert (counts[0][0], counts[0][1] < counts[1][1]) == (counts[1][0], True)


def test_person_without_base_when_all_their_roofs_lost_coordinates_then_others_are_planned(
    db: None,
) -> None:
    gone, past = park(), due_fan(1)
    plan()
    assert stop_at(past).round.day < WEDNESDAY
    quill()
    left = due_fan(2)
    Site.objects.filter(pk=past.site_id).update(latitude=None, longitude=None)
    WorkingWeek.objects.filter(technician=gone).delete()
    now = dt.datetime.combine(WEDNESDAY, dt.time(13), dt.UTC)
    reckon_fleet(now=now, only_stale=True)
    plan_week(monday=MONDAY, by=planner(), now=now, search=Search(iterations=30))
    assert stop_at(left).round.technician.last_name == "Quill"


def test_person_who_left_when_in_the_draft_then_their_stops_are_given_to_others() -> None:
    fan, able = due_fan(1), park()
    plan()
    Person.objects.filter(pk=able.pk).update(is_active=False)
    quill()
    plan()
    assert stop_at(fan).round.technician.last_name == "Quill"


def test_rounds_when_each_takes_a_day_then_the_most_overdue_is_first() -> None:
    fans = [due_fan(number, access_minutes=330) for number in range(4)]
    quill()
    for fan, on in zip(fans, ("2026-07-01", "2026-03-01", "2026-09-01", "2026-05-01"), strict=True):
        walk(fan, on)
    plan(iterations=100)
    told = [stop.site_id for stop in stops()]
    assert told == [fans[at].site_id for at in (1, 3, 0, 2)]


def test_technician_when_their_base_is_gone_then_the_week_begins_afresh_without_them() -> None:
    fan, gone = due_fan(1), park()
    plan()
    quill()
    gone.working_week.delete()
    told = plan(fresh=True)
    assert ([stop.round.technician_id for stop in stops()].count(gone.pk), told.without_week) == (
        0,
        (gone,),
    )
    assert stop_at(fan)
