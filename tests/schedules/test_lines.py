"""A list's line: why the day, the stop behind it, and what else must be said beside it."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from fleet.models import Fan, Machine
from schedules.due.lines import DueLine
from schedules.due.lists import DueFilters, due_page
from schedules.due.local_days import same_day
from schedules.due.reckoning import reckon_fleet
from schedules.models import DueState
from schedules.wording import driver_text, notes_of, reason_text, stop_text
from tests.bookings.booked import booked, technician
from tests.schedules.fans import NOW, inspected, make_fan, walk
from visits.models import Event, Finding, MadeSafe, NotReached, Visit

pytestmark = pytest.mark.django_db
TODAY = dt.date(2026, 6, 15)
BOOKED_AT = dt.datetime(2026, 6, 1, 12, tzinfo=dt.UTC)


def line(fan: Fan, day: dt.date = TODAY) -> DueLine:
    days, filters = same_day(day, [fan.site.time_zone]), DueFilters(site=fan.site_id)
    return due_page(DueState.objects.all(), days=days, filters=filters).lines[0]


def reckoned(fan: Fan) -> DueLine:
    reckon_fleet(now=NOW)
    return line(fan)


def test_reason_when_a_finding_drives_then_its_reading_in_words() -> None:
    fan = make_fan()
    inspected(fan)
    walk(fan, "2026-06-10", {"catch": "act"}, catch="missing")
    assert reason_text(reckoned(fan)) == (
        "There is no hold-open catch: nothing holds the tipped fan. "
        "Last seen Wed 10 Jun 2026; put it right, or look at it again."
    )


def test_reason_when_somebody_wrote_the_finding_then_their_words() -> None:
    fan = make_fan()
    inspected(fan)
    check = walk(fan, "2026-06-10")
    Finding.objects.create(
        visit=check.visit, fan=fan, subject="curb", item="curb", severity="degraded",
        verdict="act", note="Flashing lifted on the north side.",
    )  # fmt: skip
    assert reason_text(reckoned(fan)).startswith(
        "Curb: Flashing lifted on the north side. Last seen"
    )


MONTHLY = "Walk-through: last complete one Mon 1 Jun 2026; average condition, every month. "


@pytest.mark.parametrize(
    ("drive", "air", "why"),
    [("belt", "inland", "belt drive"), ("direct", "coastal", "salt air"),
     ("belt", "corrosive", "belt drive, corrosive air")],
)  # fmt: skip
def test_reason_when_walked_monthly_then_says_for_what(drive: str, air: str, why: str) -> None:
    fan = make_fan(surroundings=air)
    Machine.objects.update(drive=drive)
    inspected(fan, belt="sound", sheaves="sound", bearings="quiet")
    assert reason_text(reckoned(fan)) == f"{MONTHLY}The base here is 1 month: {why}."


def cleaned(fan: Fan, on: str) -> None:
    """The hoods of its kitchen were cleaned in the night to that day."""
    Event.objects.create(
        site=fan.site, kind="hood_cleaning", started_on=on, ended_on=on, ended_minute=240,
        received_at=NOW, payload_sha256="0" * 64,
    )  # fmt: skip


AFTER_CLEANING = "A look after the hood cleaning of Fri 5 Jun 2026."


def test_reason_when_the_look_after_a_cleaning_was_incomplete_then_names_what_it_left_out() -> None:
    fan = make_fan()
    inspected(fan)
    cleaned(fan, "2026-06-05")
    walk(fan, "2026-06-10")
    assert reason_text(reckoned(fan)) == (
        f"{AFTER_CLEANING} The look of Wed 10 Jun 2026 left out: rotation, gap between wheel and "
        "inlet. It takes one look at all that such an event asks."
    )


def test_reason_when_nobody_looked_after_a_cleaning_then_nothing_is_left_out() -> None:
    fan = make_fan()
    inspected(fan)
    cleaned(fan, "2026-06-05")
    assert reason_text(reckoned(fan)) == AFTER_CLEANING


def test_reason_when_a_start_up_check_was_incomplete_then_names_what_it_left_out() -> None:
    fan = make_fan()
    inspected(fan)
    Machine.objects.update(removed_on="2026-06-10")
    old, day = fan.machines.get(), "2026-06-10"
    Machine.objects.create(fan=fan, installed_on=day, first_here=False)
    asked = {"rotation": "right", "setscrews": "tight", "volts_word": "given_by_qualified"}
    for look in (walk(fan, day, **asked), walk(fan, day, machine=old)):
        Visit.objects.filter(pk=look.visit_id).update(kind="replacement")
    assert "The look of Wed 10 Jun 2026 left out: current. " in reason_text(reckoned(fan))


GUARD_OFF = (
    "The guard is off: moving parts are within reach. Found Wed 10 Jun 2026: repair it or make "
    "the fan safe. A stopped fan means cooking stops."
)


def test_stop_when_an_older_date_comes_first_then_its_own_sentence_stands_there() -> None:
    fan = make_fan()
    walk(fan, "2026-06-10", {"guard": "stop"}, guard="off")
    told = reckoned(fan)
    assert (driver_text(told), stop_text(told)) == ("code inspection", GUARD_OFF)


def test_stop_when_a_watch_of_the_same_rule_is_due_earlier_then_still_told() -> None:
    fan = make_fan()
    inspected(fan)
    walk(fan, "2026-04-01", {"hinge": "watch"}, hinge="loose")
    walk(fan, "2026-06-10", {"guard": "stop"}, guard="off", hinge=None)
    told = reckoned(fan)
    assert (reason_text(told)[:5], stop_text(told)) == ("Hinge", GUARD_OFF)


def test_stop_when_it_drives_the_line_then_not_told_twice() -> None:
    fan = make_fan()
    inspected(fan)
    walk(fan, "2026-06-10", {"guard": "stop"}, guard="off")
    told = reckoned(fan)
    assert (reason_text(told), stop_text(told)) == (GUARD_OFF, "")


def test_stop_when_the_fan_is_out_of_service_then_nobody_is_told_to_make_it_safe() -> None:
    fan = make_fan()
    check = walk(fan, "2026-06-10", {"guard": "stop"}, guard="off")
    MadeSafe.objects.create(visit=check.visit, fan=fan, told="the chef")
    told = reckoned(fan)
    assert stop_text(told) == (
        "The guard is off: moving parts are within reach. The fan is out of service."
    )


def test_note_when_something_to_act_on_is_due_later_then_named_beside_the_reason() -> None:
    fan = make_fan()
    walk(fan, "2026-06-10", {"corrosion": "act"}, corrosion="deep")
    told = reckoned(fan)
    assert (driver_text(told), notes_of(told)) == (
        "code inspection", ["Also open, act: Corrosion of motor and housing: deep."],
    )  # fmt: skip


def test_note_when_what_is_to_be_acted_on_drives_the_line_then_not_told_twice() -> None:
    fan = make_fan()
    inspected(fan)
    walk(fan, "2026-06-10", {"corrosion": "act"}, corrosion="deep")
    assert notes_of(reckoned(fan)) == []


def test_note_when_only_a_watch_is_open_then_it_stays_in_its_column() -> None:
    fan = make_fan()
    walk(fan, "2026-06-10", {"corrosion": "watch"}, corrosion="surface")
    assert notes_of(reckoned(fan)) == []


def test_note_when_a_watch_of_the_same_rule_is_due_earlier_then_the_worst_is_counted() -> None:
    fan = make_fan()
    inspected(fan)
    walk(fan, "2026-05-10", {"hinge": "watch"}, hinge="loose")
    walk(fan, "2026-06-10", {"corrosion": "act"}, corrosion="deep", hinge=None)
    assert notes_of(reckoned(fan)) == ["2 findings are open; the worst is act."]


def test_note_when_what_is_to_be_acted_on_made_it_overdue_then_told_once() -> None:
    fan = make_fan()
    walk(fan, "2026-05-10", {"corrosion": "act"}, corrosion="deep")
    reckon_fleet(now=NOW)
    DueState.objects.update(due_rule=2, overdue_rule=6, overdue_after="2026-05-27")
    told = " ".join(notes_of(line(fan)))
    assert told.count("deep") == 1


WAITS = "The day given for its first visit when the fleet came in."


@pytest.mark.parametrize(("here", "notes"), [(False, [WAITS]), (True, [])])
def test_first_visit_when_a_date_falls_on_the_day_given_then_noted_only_while_owed(
    here: bool, notes: list[str]
) -> None:
    fan = make_fan()
    inspected(fan)
    Visit.objects.update(here=here)
    # two months after the walk-through that came with the inspection
    Fan.objects.update(onboarding_on="2026-08-01")
    assert notes_of(reckoned(fan)) == notes


def missed(fan: Fan, on: str, **why: Any) -> None:
    visit = walk(make_fan(f"EF-{on}"), on).visit
    NotReached.objects.create(visit=visit, fan=fan, **why)


def test_not_reached_when_nobody_came_since_then_the_line_says_why() -> None:
    fan = make_fan()
    inspected(fan)
    missed(fan, "2026-06-10", reason="no_access", note="hatch locked.")
    assert notes_of(reckoned(fan)) == [
        "The fan was not reached on Wed 10 Jun 2026: no access; hatch locked."
    ]


def test_not_reached_when_checked_since_then_no_longer_said() -> None:
    fan = make_fan()
    missed(fan, "2026-05-10", item="curb", reason="weather")
    inspected(fan)
    assert notes_of(reckoned(fan)) == []


def test_note_when_another_rule_makes_it_overdue_then_names_it() -> None:
    fan = make_fan()
    walk(fan, "2026-06-01")
    reckon_fleet(now=NOW)
    DueState.objects.update(due_rule=1)
    assert notes_of(line(fan, dt.date(2026, 1, 10))) == [
        "Overdue after Thu 15 Jan 2026 (code inspection)."
    ]


def test_note_when_another_rule_has_made_it_overdue_then_since_the_day_after_its_grace() -> None:
    fan = make_fan()
    walk(fan, "2026-01-05")
    reckon_fleet(now=NOW)
    DueState.objects.update(due_rule=1)
    assert notes_of(line(fan))[0].startswith("Overdue since Fri 16 Jan 2026. Code inspection:")


def test_booking_when_its_look_has_been_taken_that_day_then_the_next_one_is_told() -> None:
    """Waiting until a visit that was just made has no price; the fan beside it still waits."""
    fan = make_fan()
    beside = Fan.objects.create(
        site=fan.site, system=fan.system, tag="EF-2", entered_on=fan.entered_on
    )
    for day in (15, 29):
        booked(fan.site, technician(f"Jo Park{day}"), dt.date(2026, 6, day), now=BOOKED_AT)
    walk(fan, "2026-06-15")
    reckon_fleet(now=NOW)
    days, filters = same_day(TODAY, [fan.site.time_zone]), DueFilters(site=fan.site_id)
    told = due_page(DueState.objects.all(), days=days, filters=filters).lines
    next_day = {each.state.fan.tag: each.booked and each.booked.day.day for each in told}
    assert next_day == {fan.tag: 29, beside.tag: 15}
