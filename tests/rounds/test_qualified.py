"""A stop names the qualifications it needs and those that lack, wherever it is told."""

from __future__ import annotations

import json

import pytest
from django.utils import timezone

from fleet.models import Blocker, Fan, Person
from schedules.models import PlannedStop
from schedules.rounds.mapped import geojson_of
from schedules.rounds.services.editing import move_stop
from schedules.rounds.sheet import WeekSheet, as_json
from schedules.rounds.tabled import csv_of
from schedules.rounds.terminal import sheet_text
from schedules.wording.prices import fault_texts
from tests.bookings.booked import NOW, planner
from tests.pages.test_due_list import text_of
from tests.people import signed_in
from tests.rounds.weeks import MONDAY, WEDNESDAY, draft, park, plan, quill, stop_at, who

pytestmark = pytest.mark.django_db
SKILLS = "code inspection, work from a lift"
NEEDS = f"nly by somebody qualified for {SKILLS}"
LACKS = f"he technician is not recorded as qualified for {SKILLS}"


@pytest.fixture
def roof(fans: list[Fan], monkeypatch: pytest.MonkeyPatch) -> Fan:
    """A code inspection from a lift that comes on the week's Monday, for Jo Park to make."""
    monkeypatch.setattr(timezone, "now", lambda: NOW)
    lift = {"kind": "lift", "since_on": "2026-11-20", "cleared_on": MONDAY}
    Blocker.objects.create(site=fans[0].site, **lift)
    Person.objects.filter(pk=park().pk).update(qualified_lift=True)
    plan()
    return fans[0]


def given_to_quill(fan: Fan) -> list[str]:
    """The stop to Ada Quill, who may do neither; what that is said to break."""
    done = move_stop(who(1), stop=stop_at(fan).key, technician=quill().pk, day=WEDNESDAY)
    return fault_texts(done.price.breaks)


def test_stop_when_who_goes_is_not_qualified_then_named_on_pages_and_in_files(roof: Fan) -> None:
    (fault,) = given_to_quill(roof)
    sheet, dana = WeekSheet(draft()), signed_in(planner())
    table = csv_of(sheet).decode()
    told = {
        "answer": f"{NEEDS} {fault}",
        "page": text_of(dana.get("/week/2026-W50/")),
        "paper": text_of(dana.get("/week/2026-W50/rounds/")),
        "terminal": " ".join(sheet_text(sheet).split()),
        "map": f"{NEEDS} {json.dumps(geojson_of(sheet))}",
        "table": f"{NEEDS} {table}",
    }
    assert [name for name, words in told.items() if not (NEEDS in words and LACKS in words)] == []
    assert f'"qualified_for": "{SKILLS}"' in told["map"]
    assert f',"{SKILLS}",' in table


def test_stop_when_who_goes_is_not_qualified_then_named_to_programs(roof: Fan) -> None:
    given_to_quill(roof)
    (told,) = [
        stop for each in as_json(WeekSheet(draft()))["rounds"] for stop in each["stops"]
        if stop["site"]["id"] == roof.site_id
    ]  # fmt: skip
    needed = ["code_inspection", "lift"]
    assert (told["broken"], told["skills"], told["skills_lacking"]) == (["skill"], needed, needed)


def test_stop_when_hands_have_made_coming_dearer_than_waiting_then_says_so(roof: Fan) -> None:
    stop = stop_at(roof)
    reasons = {}
    for prize in (stop.detour_cost + 1, stop.detour_cost - 1):
        PlannedStop.objects.filter(pk=stop.pk).update(why="worth_it", prize=prize)
        line = WeekSheet(draft()).stops_of(stop_at(roof).round)[stop.position - 1]
        reasons[prize < stop.detour_cost] = line.reason.partition(". ")[0]
    assert reasons == {
        False: "due, and waiting costs more than coming",
        True: "due; waiting would cost less than coming",
    }
