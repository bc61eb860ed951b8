"""A draft changed by hand: prices, faults, refusals, undo, and two who change it at once."""

from __future__ import annotations

import datetime as dt
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.db import connection

from fleet.models import Fan, Person
from schedules.models import PlannedStop
from schedules.rounds.errors import StaleDraftError, WeekPlanError
from schedules.rounds.services.editing import (
    move_stop,
    pin_stop,
    put_in_site,
    swap_stops,
    take_out_stop,
    undo,
)
from tests.bookings.booked import planner, technician
from tests.rounds.weeks import (
    MONDAY,
    WEDNESDAY,
    draft,
    left_out,
    park,
    plan,
    quill,
    stop_at,
    stops,
    who,
)

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)


@pytest.fixture
def able(fans: list[Fan]) -> Person:
    """Jo Park, for whom all is planned."""
    person = park()
    plan()
    return person


def codes(told: Any) -> list[str]:
    return sorted({fault.code for fault in told})


def layout() -> list[tuple[Any, ...]]:
    return [(s.key, s.round.technician_id, s.round.day, s.position, s.pinned) for s in stops()]


def test_stop_when_moved_to_another_day_then_there_with_its_price(
    fans: list[Fan], able: Person
) -> None:
    stop = stop_at(fans[0])
    told = move_stop(who(1), stop=stop.key, technician=able.pk, day=WEDNESDAY)
    moved = stop_at(fans[0])
    assert (moved.key, moved.round.day, told.revision) == (stop.key, WEDNESDAY, 2)
    assert (told.price.cost > 0, told.price.breaks) == (True, ())


def test_stop_when_moved_within_its_day_then_in_that_order(fans: list[Fan], able: Person) -> None:
    first, last = stops()[0], stops()[-1]
    assert first.round_id == last.round_id
    move_stop(who(1), stop=last.key, technician=able.pk, day=last.round.day, position=0)
    assert [stop.key for stop in stops()][:2] == [last.key, first.key]


def test_stop_when_given_to_one_not_qualified_then_done_and_told(
    fans: list[Fan], able: Person
) -> None:
    other = quill()
    told = move_stop(who(1), stop=stop_at(fans[0]).key, technician=other.pk, day=WEDNESDAY)
    assert (codes(told.price.breaks), stop_at(fans[0]).broken) == (["skill"], ["skill"])


def test_stop_when_moved_out_of_hours_or_onto_a_day_off_then_done_and_told(
    fans: list[Fan], able: Person
) -> None:
    fans[0].site.roof_access_hours = [[[420, 900]]] * 5 + [[]] * 2
    fans[0].site.save()
    saturday = MONDAY + 5 * DAY
    told = move_stop(who(1), stop=stop_at(fans[0]).key, technician=able.pk, day=saturday)
    assert {"hours", "off"} <= set(codes(told.price.breaks))


def test_stops_when_swapped_then_each_in_the_others_place(fans: list[Fan], able: Person) -> None:
    revision = move_stop(
        who(1), stop=stop_at(fans[0]).key, technician=able.pk, day=WEDNESDAY
    ).revision
    one, two = stop_at(fans[0]), stop_at(fans[1])
    swap_stops(who(revision), stop=one.key, other=two.key)
    assert (stop_at(fans[0]).round.day, stop_at(fans[1]).round.day) == (two.round.day, WEDNESDAY)


def test_stop_when_swapped_with_itself_then_refused(fans: list[Fan], able: Person) -> None:
    key = stop_at(fans[0]).key
    with pytest.raises(WeekPlanError, match="itself"):
        swap_stops(who(1), stop=key, other=key)


def test_site_when_half_the_world_away_then_the_change_is_refused_with_its_name(
    fans: list[Fan], able: Person
) -> None:
    site, key = fans[0].site, stop_at(fans[0]).key
    site.longitude += 180
    site.latitude *= -1
    site.save()
    with pytest.raises(WeekPlanError, match=f"{site.name} is .* hours away"):
        move_stop(who(1), stop=key, technician=able.pk, day=WEDNESDAY)
    assert take_out_stop(who(1), stop=key).revision == 2


def test_stop_when_taken_out_then_left_out_by_hand_and_told_as_required(
    fans: list[Fan], able: Person
) -> None:
    told = take_out_stop(who(1), stop=stop_at(fans[0]).key)
    assert left_out() == {"EF-1": "taken_out", "EF-1 code_inspection": "taken_out"}
    assert codes(told.price.breaks) == ["required_left"]


def test_site_when_put_in_again_then_planned(fans: list[Fan], able: Person) -> None:
    revision = take_out_stop(who(1), stop=stop_at(fans[0]).key).revision
    told = put_in_site(who(revision), site=fans[0].site_id, technician=able.pk, day=WEDNESDAY)
    assert (stop_at(fans[0]).round.day, left_out()) == (WEDNESDAY, {})
    assert codes(told.price.mends) == ["required_left"]


@pytest.mark.parametrize("change", ["move", "take_out", "pin"])
def test_change_when_undone_then_all_as_before(change: str, fans: list[Fan], able: Person) -> None:
    before, key = layout(), stop_at(fans[0]).key
    changes: dict[str, Any] = {
        "move": lambda: move_stop(who(1), stop=key, technician=able.pk, day=WEDNESDAY),
        "take_out": lambda: take_out_stop(who(1), stop=key),
        "pin": lambda: pin_stop(who(1), stop=key),
    }
    revision = changes[change]().revision
    assert layout() != before
    undo(who(revision))
    assert (layout(), draft().plan.revision) == (before, 3)


def test_undo_when_all_is_undone_then_says_so(fans: list[Fan], able: Person) -> None:
    undo(who(1))
    assert stops() == []
    with pytest.raises(WeekPlanError, match="nothing in the draft of 2026-W50 can be undone"):
        undo(who(2))


def test_second_dispatcher_when_the_first_was_quicker_then_told_who_did_what(
    fans: list[Fan], able: Person
) -> None:
    key = stop_at(fans[0]).key
    move_stop(who(1), stop=key, technician=able.pk, day=WEDNESDAY)
    before = layout()
    with pytest.raises(StaleDraftError, match=r"D\. Reyes moved Roof of EF-1 to Wed 9 Dec") as told:
        take_out_stop(who(1), stop=key)
    assert (told.value.revision, len(told.value.changes), layout()) == (2, 1, before)


@pytest.mark.parametrize(
    ("day", "told"),
    [
        (MONDAY + 7 * DAY, "is in another week"),
        (MONDAY - DAY, "is in another week"),
    ],
)
def test_move_when_to_another_week_then_refused(
    day: dt.date, told: str, fans: list[Fan], able: Person
) -> None:
    with pytest.raises(WeekPlanError, match=told):
        move_stop(who(1), stop=stop_at(fans[0]).key, technician=able.pk, day=day)


def test_move_when_to_one_who_cannot_be_sent_then_refused(fans: list[Fan], able: Person) -> None:
    baseless = technician("Ned Stow")
    with pytest.raises(WeekPlanError, match="no technician with a home base"):
        move_stop(who(1), stop=stop_at(fans[0]).key, technician=baseless.pk, day=WEDNESDAY)


def test_change_when_asked_by_a_technician_then_refused(fans: list[Fan], able: Person) -> None:
    with pytest.raises(PermissionDenied):
        undo(who(1, able))


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_dispatchers_when_both_change_at_once_then_one_is_told(able: Person) -> None:
    planner()
    keys = [stop.key for stop in PlannedStop.objects.all()]

    def take_out(at: int) -> str:
        try:
            take_out_stop(who(1), stop=keys[at])
        except StaleDraftError:
            return "told"
        finally:
            connection.close()
        return "done"

    with ThreadPoolExecutor(2) as pool:
        assert sorted(pool.map(take_out, (0, 1))) == ["done", "told"]
    assert len(stops()) == len(keys) - 1
