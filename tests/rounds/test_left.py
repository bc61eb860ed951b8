"""What is left out says why as it is now, whatever was changed by hand since."""

from __future__ import annotations

import pytest

from fleet.models import Blocker, Fan
from fleet.services.working import give_days_off
from schedules.rounds.services.editing import move_stop, put_in_site, take_out_stop, undo
from schedules.rounds.sheet import WeekSheet, as_json
from schedules.rounds.telling import overload_texts
from schedules.rounds.terminal import sheet_text
from tests.bookings.booked import NOW
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
MONDAY_ONLY = [[[420, 510]], *[[]] * 6]
"""Ninety minutes: room for one roof, not for two."""


def texts() -> list[str]:
    return [line.text for line in WeekSheet(draft()).left_out]


def test_roof_when_another_is_taken_out_then_there_is_room_for_it(fans: list[Fan]) -> None:
    park(hours=MONDAY_ONLY, reserve_minutes=0)
    plan()
    told = left_out()
    assert set(told.values()) == {"full"}
    assert draft().overload
    (stop,) = stops()
    take_out_stop(who(1), stop=stop.key)
    assert {left_out()[tag] for tag in told} == {"room"}
    assert "J. Park has time for it on Mon 7 Dec 2026" in " ".join(texts())
    assert draft().overload == {}


def test_overload_when_told_then_sites_a_day_overtime_and_what_waiting_costs(
    fans: list[Fan],
) -> None:
    park(hours=MONDAY_ONLY, reserve_minutes=0)
    plan()
    sheet = WeekSheet(draft())
    told = " ".join(overload_texts(sheet))
    for words in (
        "sites that must not wait have no place",
        "One more technician-day, such as J. Park has on Mon 7 Dec 2026, would do Roof of EF-",
        "more overtime of J. Park on Mon 7 Dec 2026 would do Roof of EF-",
        "If they wait for the next week, that is reckoned to cost",
    ):
        assert words in told
    assert told.split()[0] in sheet_text(sheet)
    assert as_json(sheet)["overload"]["days"][0]["sites"]


def test_roof_when_the_stop_taken_out_is_put_back_by_undoing_then_full_again(
    fans: list[Fan],
) -> None:
    park(hours=MONDAY_ONLY, reserve_minutes=0)
    plan()
    told = left_out(), draft().overload
    take_out_stop(who(1), stop=stops()[0].key)
    undo(who(2))
    assert (left_out(), draft().overload) == told


def test_stop_when_taken_out_then_by_whom_and_out_until_planned_afresh(fans: list[Fan]) -> None:
    park()
    plan()
    take_out_stop(who(1), stop=stop_at(fans[0]).key)
    plan()
    assert left_out() == {"EF-1": "taken_out", "EF-1 code_inspection": "taken_out"}
    assert texts() == ["taken out by D. Reyes"]
    plan(fresh=True)
    assert left_out() == {}


def test_stop_taken_out_when_putting_it_in_is_undone_then_out_by_the_same(
    fans: list[Fan],
) -> None:
    able = park()
    plan()
    take_out_stop(who(1), stop=stop_at(fans[0]).key)
    put_in_site(who(2), site=fans[0].site_id, technician=able.pk, day=WEDNESDAY)
    undo(who(3))
    assert texts() == ["taken out by D. Reyes"]


def test_roof_when_a_blocker_came_since_then_the_next_change_tells_it(fans: list[Fan]) -> None:
    able, other = park(hours=MONDAY_ONLY, reserve_minutes=0), quill()
    give_days_off(
        technician=other, first_on=MONDAY, last_on=WEDNESDAY, reason="leave", by=None, now=NOW
    )
    plan()
    tag = next(iter(left_out()))
    fan = Fan.objects.get(tag=tag.split()[0])
    Blocker.objects.create(site=fan.site, kind="crane", since_on=NOW.date())
    move_stop(who(1), stop=stops()[0].key, technician=able.pk, day=MONDAY)
    assert left_out()[tag] == "blocked"
