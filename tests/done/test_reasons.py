"""Reasons given for stops that were not made: by whom, when, once, and what cannot be taken."""

from __future__ import annotations

from uuid import UUID, uuid4

import pytest
from django.core.exceptions import PermissionDenied

from fleet.models import Person
from fleet.services.errors import RegisterError
from schedules.done.reasons import Given, NoSuchStopError, TakenError, give_reason
from schedules.models import PlannedStop, StopReason
from tests.bookings.booked import planner, technician
from tests.done.promises import MONDAY, NEXT_WEEK, at, day, only, publish
from tests.schedules.fans import make_fan, walk

pytestmark = pytest.mark.django_db


@pytest.fixture
def stop(db: None) -> PlannedStop:
    return publish((make_fan(), "tue", technician()))[0]


def said(stop: PlannedStop, reason: str = "weather", note: str = "", **given: object) -> Given:
    known = {"id": uuid4(), "monday": MONDAY, "key": stop.key, **given}
    return Given(reason=reason, note=note, **known)  # type: ignore[arg-type]


def park() -> Person:
    return Person.objects.get(username="park")


def test_reason_when_given_then_the_promise_is_excused_by_it(stop: PlannedStop) -> None:
    give_reason(given=said(stop, "weather", "hail"), by=park(), now=NEXT_WEEK)
    told = only()
    assert told.word
    assert (told.outcome, told.word.reason, told.word.note) == ("excused", "weather", "hail")


def test_reason_when_given_anew_then_the_last_counts_and_both_stay(stop: PlannedStop) -> None:
    for reason, hour in (("weather", "09:00"), ("unsafe", "10:00")):
        give_reason(given=said(stop, reason), by=planner(), now=at("thu", hour))
    word = only().word
    assert (word and word.reason, StopReason.objects.count()) == ("unsafe", 2)


def test_reason_when_sent_twice_then_there_once(stop: PlannedStop) -> None:
    given = said(stop)
    told = [give_reason(given=given, by=planner(), now=NEXT_WEEK)[1] for _ in (1, 2)]
    assert (told, StopReason.objects.count()) == ([True, False], 1)


def test_reason_when_its_id_is_taken_by_another_then_refused(stop: PlannedStop) -> None:
    given = said(stop)
    give_reason(given=given, by=planner(), now=NEXT_WEEK)
    other = said(stop, "unsafe", id=given.id)
    with pytest.raises(TakenError, match="make a new id"):
        give_reason(given=other, by=planner(), now=NEXT_WEEK)


def test_reason_when_given_by_another_technician_then_there_is_no_such_stop(
    stop: PlannedStop,
) -> None:
    with pytest.raises(NoSuchStopError):
        give_reason(given=said(stop), by=technician("Ada Quill"), now=NEXT_WEEK)


def test_reason_when_given_by_an_owner_then_denied(stop: PlannedStop) -> None:
    owner = Person.objects.create_user("olga", role="owner", owner=stop.site.owner)
    with pytest.raises(PermissionDenied):
        give_reason(given=said(stop), by=owner, now=NEXT_WEEK)


@pytest.mark.parametrize("key", [UUID(int=1), None])
def test_reason_when_of_a_stop_or_week_that_is_not_there_then_so_said(
    key: UUID | None, stop: PlannedStop
) -> None:
    wrong = {"key": key} if key else {"monday": day("mon", 1)}
    with pytest.raises(NoSuchStopError):
        give_reason(given=said(stop, **wrong), by=planner(), now=NEXT_WEEK)


@pytest.mark.parametrize(
    ("reason", "note", "field"),
    [
        ("lazy", "", "reason"),
        ("other", " ", "note"),
        ("weather", "x" * 251, "note"),
        ("weather", "a\0b", "note"),
    ],
)
def test_reason_when_it_cannot_be_meant_then_refused_by_field(
    reason: str, note: str, field: str, stop: PlannedStop
) -> None:
    with pytest.raises(RegisterError) as refused:
        give_reason(given=said(stop, reason, note), by=planner(), now=NEXT_WEEK)
    assert list(refused.value.faults) == [field]


def test_reason_when_its_day_is_ahead_then_refused_and_on_the_day_taken(stop: PlannedStop) -> None:
    with pytest.raises(RegisterError, match="planned for Tue 1 Dec 2026"):
        give_reason(given=said(stop), by=planner(), now=at("mon", "23:00"))
    assert give_reason(given=said(stop), by=planner(), now=at("tue", "07:00"))[1]


def test_reason_when_all_is_done_then_refused(stop: PlannedStop) -> None:
    walk(stop.fans.get().fan, day("tue").isoformat())
    with pytest.raises(RegisterError, match="nothing to explain"):
        give_reason(given=said(stop), by=planner(), now=NEXT_WEEK)
