"""How old a week's travel times are, and which of its sites have none."""

from __future__ import annotations

import datetime as dt

import pytest
from django.utils import timezone

from fleet.models import Fan, Person
from schedules.rounds.gathering import clock_of
from schedules.rounds.ways.importing import import_travel_file
from schedules.rounds.ways.standing import ways_texts
from tests.bookings.booked import NOW, planner
from tests.pages.test_due_list import text_of
from tests.people import signed_in
from tests.rounds.weeks import MONDAY, park, plan

pytestmark = pytest.mark.django_db
BASE = "base of Jo Park"


@pytest.fixture
def jo(fans: list[Fan]) -> Person:
    return park()


def bring(one: str, other: str, days_ago: int) -> None:
    """Both ways between two places, that long ago."""
    data = f"From,To,Minutes\n{one},{other},9\n{other},{one},9".encode()
    now = NOW - dt.timedelta(days=days_ago)
    assert not import_travel_file(data=data, name="w.csv", by=planner(), now=now).refused


def told(fans: list[Fan], person: Person) -> list[str]:
    return [*ways_texts([fan.site for fan in fans], [person], clock_of(MONDAY, NOW))]


def test_ways_when_none_was_brought_then_said(fans: list[Fan], jo: Person) -> None:
    assert told(fans, jo) == ["None of this week's is on record: all ways are estimated."]


def test_ways_when_brought_then_how_old_and_which_sites_they_lack(
    fans: list[Fan], jo: Person
) -> None:
    bring(BASE, "Roof of EF-1", 400)  # 30 Nov 2026 less 400 days
    bring(BASE, "Roof of EF-2", 3)
    fans[1].site.latitude += 0.01
    fans[1].site.save()
    assert told(fans, jo) == [
        "Those of this week's places were brought Sun 26 Oct 2025, 400 days ago.",
        "No travel time at all, so estimated: Roof of EF-3.",
        "Moved since, so estimated until they are brought again: Roof of EF-2.",
        "Some ways lack and are estimated: Roof of EF-1.",
    ]


def test_page_when_ways_are_whole_then_only_their_age(
    fans: list[Fan], jo: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(timezone, "now", lambda: NOW)
    names = [BASE, *(fan.site.name for fan in fans)]
    for at, one in enumerate(names):
        for other in names[:at]:
            bring(one, other, 12)
    assert told(fans, jo) == [
        "Those of this week's places were brought Wed 18 Nov 2026, 12 days ago."
    ]
    plan()
    assert told(fans, jo)[0] in text_of(signed_in(planner()).get("/week/2026-W50/"))
