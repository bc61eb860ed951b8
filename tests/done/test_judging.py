"""What became of a promise, case by case; the definition is our own (``schedules.done``)."""

from __future__ import annotations

import datetime as dt
from uuid import UUID

import pytest

from fleet.models import Blocker, Fan, Machine, Person
from schedules.bookings.services import Terms, move_booking, withdraw_booking
from schedules.done.seen import Word
from schedules.engine import follow_up, hours, inspection, walk_through
from tests.bookings.booked import booked, planner, technician
from tests.done.promises import BEFORE, MONDAY, at, day, done, missed, only, publish, visit
from tests.schedules.fans import make_fan, walk
from visits.models import Action

pytestmark = pytest.mark.django_db


@pytest.fixture
def fan(db: None) -> Fan:
    return make_fan()


@pytest.fixture
def jo(db: None) -> Person:
    return technician()


def walked(fan: Fan, on: dt.date) -> None:
    walk(fan, on.isoformat())


@pytest.mark.parametrize(
    ("name", "outcome", "on_time"),
    [("mon", "kept", True), ("tue", "kept", True), ("wed", "later", True), ("fri", "later", False)],
)
def test_walk_when_made_in_the_week_then_kept_until_its_day_and_on_time_until_overdue(
    name: str, outcome: str, on_time: bool, fan: Fan, jo: Person
) -> None:
    publish((fan, "tue", jo), overdue=day("thu"))
    walked(fan, day(name))
    assert (only().outcome, only().on_time, only().done_on) == (outcome, on_time, day(name))


def test_walk_when_made_after_publishing_and_before_the_week_then_kept(
    fan: Fan, jo: Person
) -> None:
    publish((fan, "tue", jo))
    walked(fan, BEFORE.date())
    assert only().outcome == "kept"


@pytest.mark.parametrize("on", [day("thu", -1), day("mon", 1)])
def test_walk_when_made_outside_of_the_promise_then_silent(
    on: dt.date, fan: Fan, jo: Person
) -> None:
    publish((fan, "tue", jo))
    walked(fan, on)
    assert only().outcome == "silent"


def test_walk_when_corrected_away_then_silent(fan: Fan, jo: Person) -> None:
    publish((fan, "tue", jo))
    walked(fan, day("tue"))
    old = fan.checks.get().visit
    visit(fan, day("tue"), supersedes=old, correction_reason="another roof")
    assert only().outcome == "silent"


def test_look_when_not_whole_then_no_walk_through_and_told_as_in_part(fan: Fan, jo: Person) -> None:
    publish((fan, "tue", jo))
    walk(fan, day("tue").isoformat(), guard=None)
    told = only()
    assert (told.outcome, told.in_part) == ("silent", True)
    fan.checks.get().visit.not_reached.create(fan=fan, item="guard", reason="weather")
    assert (only().outcome, only().word and only().word.reason) == ("excused", "weather")


def test_follow_up_when_repaired_without_a_look_then_kept(fan: Fan, jo: Person) -> None:
    publish((fan, "tue", jo), rules=(follow_up.number,))
    Action.objects.create(visit=visit(fan, day("tue")), fan=fan, kind="repaired", item="hinge")
    assert only().outcome == "kept"


def test_two_rules_when_met_on_two_days_then_done_with_the_second(fan: Fan, jo: Person) -> None:
    publish((fan, "tue", jo), rules=(hours.number, follow_up.number))
    walked(fan, day("tue"))
    assert only().outcome == "silent"
    greased = visit(fan, day("thu"))
    Action.objects.create(visit=greased, fan=fan, kind="regreased", item="bearings")
    assert (only().outcome, only().done_on) == ("later", day("thu"))


@pytest.mark.parametrize(("qualified", "outcome"), [(True, "kept"), (False, "silent")])
def test_code_inspection_when_made_then_counts_by_somebody_qualified(
    qualified: bool, outcome: str, fan: Fan, jo: Person
) -> None:
    publish((fan, "tue", jo), rules=(inspection.number,), skill="code_inspection")
    visit(fan, day("tue")).inspections.create(system=fan.system, qualified=qualified)
    assert only().outcome == outcome


def test_fan_when_not_reached_then_excused_by_who_was_there(fan: Fan, jo: Person) -> None:
    publish((fan, "tue", jo))
    missed(fan, day("tue"))
    told = only()
    assert (told.outcome, told.word and told.word.reason) == ("excused", "no_access")


def test_fan_when_a_visit_there_says_nothing_of_it_then_silent(fan: Fan, jo: Person) -> None:
    publish((fan, "tue", jo))
    visit(fan, day("tue"))
    assert only().outcome == "silent"


def test_fan_when_made_safe_before_its_day_ends_then_dropped(fan: Fan, jo: Person) -> None:
    publish((fan, "tue", jo))
    visit(fan, day("mon")).made_safe.create(fan=fan, told="the chef")
    assert only().outcome == "dropped"


@pytest.mark.parametrize(("made", "outcome"), [(True, "later"), (False, "silent")])
def test_code_inspection_when_its_fan_is_made_safe_then_still_promised_without_the_rest(
    made: bool, outcome: str, fan: Fan, jo: Person
) -> None:
    both = (walk_through.number, inspection.number)
    publish((fan, "tue", jo), rules=both, skill="code_inspection")
    visit(fan, day("mon")).made_safe.create(fan=fan, told="the chef")
    if made:
        visit(fan, day("wed")).inspections.create(system=fan.system, qualified=True)
    assert only().outcome == outcome


@pytest.mark.parametrize(("name", "outcome"), [("mon", "dropped"), ("wed", "silent")])
def test_machine_when_replaced_then_what_was_planned_until_then_is_dropped(
    name: str, outcome: str, fan: Fan, jo: Person
) -> None:
    publish((fan, "tue", jo))
    Machine.objects.filter(fan=fan).update(removed_on=day(name))
    Machine.objects.create(fan=fan, installed_on=day(name))
    assert only().outcome == outcome


def test_roof_when_it_waits_for_a_lift_then_excused(fan: Fan, jo: Person) -> None:
    publish((fan, "tue", jo))
    Blocker.objects.create(site=fan.site, kind="lift", since_on=day("mon"))
    told = only().word
    assert told
    assert (told.reason, told.item) == ("waiting", "lift")


def test_stop_while_its_day_lasts_then_ahead(fan: Fan, jo: Person) -> None:
    publish((fan, "tue", jo))
    told = [only(at(*moment)).outcome for moment in (("tue", "23:59"), ("wed", "00:00"))]
    assert told == ["ahead", "silent"]


def test_site_in_another_zone_then_its_day_ends_by_its_own_clock(jo: Person) -> None:
    east = make_fan(time_zone="America/New_York")
    make_fan("EF-2")
    make_fan("EF-3")
    publish((east, "tue", jo))
    assert only(at("tue", "23:30")).outcome == "silent"


# which version is in force


def test_version_when_published_before_the_stop_then_it_counts_and_the_former_no_more(
    fan: Fan, jo: Person
) -> None:
    publish((fan, "tue", jo))
    publish((fan, "fri", jo), when=at("tue", "08:00"))
    walked(fan, day("thu"))
    assert (only().planned.on, only().outcome) == (day("fri"), "kept")


def test_version_when_published_after_the_stop_then_the_first_day_stays_the_promise(
    fan: Fan, jo: Person
) -> None:
    publish((fan, "tue", jo))
    publish((fan, "fri", jo), when=at("tue", "10:00"))
    walked(fan, day("fri"))
    assert (only().planned.on, only().outcome) == (day("tue"), "later")


def test_version_when_published_after_its_stop_began_then_no_promise(fan: Fan, jo: Person) -> None:
    publish((fan, "tue", jo), when=at("tue", "09:00"))
    assert done().judged == []


# bookings changed beside the plan


def bound(fan: Fan, jo: Person) -> UUID:
    """A stop on Tuesday and its booking's id."""
    (stop,) = publish((fan, "tue", jo))
    booking = booked(fan.site, jo, day("tue"), now=BEFORE)
    stop.booking = booking
    stop.save()
    return booking.pk


def move(booking: UUID, terms: Terms) -> None:
    move_booking(booking_id=booking, seen=0, terms=terms, by=planner(), now=at("mon", "08:00"))


def test_booking_when_moved_before_the_stop_then_its_day_is_the_promise(
    fan: Fan, jo: Person
) -> None:
    terms = Terms(jo, day("thu"), 540, 660)
    move(bound(fan, jo), terms)
    assert only().planned.on == day("thu")


def test_booking_when_moved_into_the_next_week_then_kept_there(fan: Fan, jo: Person) -> None:
    move(bound(fan, jo), Terms(jo, day("wed", 1), 540, 660))
    walked(fan, day("wed", 1))
    assert (only().outcome, only().done_on) == ("kept", day("wed", 1))


def test_booking_when_given_to_somebody_else_then_theirs(fan: Fan, jo: Person) -> None:
    ada = technician("Ada Quill")
    terms = Terms(ada, day("wed"), 540, 660)
    move(bound(fan, jo), terms)
    told = only().planned
    assert (told.on, told.technician, told.called_off) == (day("wed"), ada.pk, "")


def test_booking_when_withdrawn_then_excused_in_its_words(fan: Fan, jo: Person) -> None:
    withdraw_booking(booking_id=bound(fan, jo), seen=0, reason="kitchen closed", by=planner(),
                     now=at("mon", "08:00"))  # fmt: skip
    assert (only().outcome, only().word) == (
        "excused", Word(day("tue"), "called_off", "kitchen closed"),
    )  # fmt: skip


# counting


def test_week_when_counted_then_as_by_hand(jo: Person) -> None:
    """Five promised: two kept, one late, one not reached, one silent; a sixth fan seen beside."""
    fans = [make_fan(f"EF-{number}") for number in range(1, 7)]
    publish(*((fan, "tue", jo) for fan in fans[:5]), overdue=day("wed"))
    walked(fans[0], day("tue"))
    walked(fans[1], day("mon"))
    walked(fans[2], day("thu"))
    missed(fans[3], day("tue"), "weather")
    walked(fans[5], day("wed"))
    total = done().total
    assert (total.planned, total.done, total.done_percent, total.on_time, total.unplanned) == (
        5, 3, 60, 2, 1,
    )  # fmt: skip
    assert dict(total.reasons) == {"weather": 1}
    assert {who: each.planned for who, each in done().by_name("technician").items()} == {
        jo.pk: 5, None: 0,
    }  # fmt: skip
    assert set(done().by_name("week")) == {MONDAY}
