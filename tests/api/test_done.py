"""Planned against done through the API: as far as each may know, and reasons given once."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest

from fleet.models import Person
from schedules.models import PlannedStop, StopReason
from tests.api.asking import V1, by_key, faults
from tests.bookings.booked import technician
from tests.done.promises import day, missed, monday_after, publish  # noqa: F401
from tests.people import Roofs
from tests.schedules.fans import walk

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("monday_after")]
WEEK = "first=2026-W49&last=2026-W49"


@pytest.fixture
def week(roofs: Roofs, theo: Person) -> list[PlannedStop]:
    """Theo walked the bakery and did not reach the canteen; Jo never went to Sam's diner."""
    made = publish(
        (roofs.bakery, "tue", theo), (roofs.canteen, "tue", theo),
        (roofs.diner, "wed", technician()),
    )  # fmt: skip
    walk(roofs.bakery, day("tue").isoformat())
    missed(roofs.canteen, day("tue"), "weather")
    return made


def reason(stop: PlannedStop, **told: Any) -> dict[str, Any]:
    known = {"id": str(uuid4()), "week": "2026-W49", "stop": str(stop.key), "reason": "no_time"}
    return {**known, **told}


@pytest.mark.parametrize(
    ("who", "planned", "kept", "excused", "silent"),
    [("dana", 3, 1, 1, 1), ("theo", 2, 1, 1, 0), ("olga", 2, 1, 1, 0), ("sam", 1, 0, 0, 1)],
)
def test_figures_when_asked_for_then_of_what_one_may_know(
    who: str, planned: int, kept: int, excused: int, silent: int, week: list[PlannedStop],
    request: pytest.FixtureRequest,
) -> None:  # fmt: skip
    answer = by_key(request.getfixturevalue(who)).get(f"{V1}/done?{WEEK}")
    (row,) = answer.json()["results"]
    told = [row[name] for name in ("planned", "kept", "excused", "silent")]
    assert told == [planned, kept, excused, silent]


@pytest.mark.parametrize(
    ("by", "names"),
    [
        ("week", ["2026-W49"]),
        ("site", ["Alder Bakery", "Alder Canteen", "Dory's Roof"]),
        ("owner", ["Alder Kitchens", "Dory's Diner"]),
    ],
)
def test_figures_when_asked_by_something_then_a_row_for_each(
    by: str, names: list[str], week: list[PlannedStop], dana: Person
) -> None:
    rows = by_key(dana).get(f"{V1}/done?{WEEK}&by={by}").json()["results"]
    assert sorted(row["of"]["name"] for row in rows) == names


def test_figures_by_technician_then_not_for_owners(week: list[PlannedStop], olga: Person) -> None:
    assert faults(by_key(olga).get(f"{V1}/done?by=technician")) == ["by"]


@pytest.mark.parametrize("asked", ["first=2026-W50&last=2026-W49", "first=2020-W01", "last=x"])
def test_figures_when_of_weeks_that_cannot_be_then_refused(asked: str, dana: Person) -> None:
    assert by_key(dana).get(f"{V1}/done?{asked}").status_code == 400


def test_stops_when_listed_then_owners_do_not_learn_who_came_and_what_was_noted(
    week: list[PlannedStop], dana: Person, olga: Person
) -> None:
    told = {
        person.username: by_key(person).get(f"{V1}/done/stops?week=2026-W49").json()["results"]
        for person in (dana, olga)
    }
    assert [len(told["dana"]), len(told["olga"])] == [3, 2]
    assert {stop["technician"] is None for stop in told["olga"]} == {True}
    assert told["olga"][1]["fans"][0]["reason"] == "weather"


@pytest.mark.parametrize(("asked", "count"), [
    (f"done?{WEEK}&by=site", 3), ("done/stops?week=2026-W49", 3),
])  # fmt: skip
def test_list_when_read_page_by_page_then_the_same_rows_as_at_once(
    asked: str, count: int, week: list[PlannedStop], dana: Person
) -> None:
    api, rows, address = by_key(dana), [], f"{V1}/{asked}&limit=2"
    while address:
        page = api.get(address).json()
        rows.append(page["results"])
        address = page["next"]
    whole = api.get(f"{V1}/{asked}").json()
    assert [len(each) for each in rows] == [2, count - 2]
    assert (rows[0] + rows[1], whole["next"]) == (whole["results"], None)


# The second is base64 of ["x"], which keys of sites are not.
@pytest.mark.parametrize(("name", "value"), [
    ("after", "%%"), ("after", "WyJ4Il0"), ("limit", "0"), ("limit", "201"),
])  # fmt: skip
def test_page_when_there_is_no_such_one_then_refused(name: str, value: str, dana: Person) -> None:
    assert faults(by_key(dana).get(f"{V1}/done", {"by": "site", name: value})) == [name]


def test_reason_when_sent_again_then_200_and_another_under_its_id_409(
    week: list[PlannedStop], dana: Person
) -> None:
    sent, client = reason(week[2]), by_key(dana)
    answers = [client.post(f"{V1}/reasons", body) for body in (sent, sent)]
    answers.append(client.post(f"{V1}/reasons", {**sent, "reason": "unsafe"}))
    assert [each.status_code for each in answers] == [201, 200, 409]
    assert StopReason.objects.count() == 1


def test_reason_when_of_anothers_stop_then_as_if_there_were_none(
    week: list[PlannedStop], theo: Person
) -> None:
    told = {**reason(week[2]), "stop": str(uuid4())}
    answers = [by_key(theo).post(f"{V1}/reasons", each) for each in (reason(week[2]), told)]
    problems = [each.json()["errors"][0] for each in answers]
    assert [each.pop("seen") for each in problems] == [str(week[2].key), told["stop"]]
    assert problems[0] == problems[1]


@pytest.mark.parametrize(
    ("wrong", "at"),
    [
        ({"week": "2026-W60"}, "#/week"),
        ({"reason": "lazy"}, "#/reason"),
        ({"reason": "other"}, "#/note"),
    ],
)
def test_reason_when_it_cannot_be_meant_then_told_where(
    wrong: dict[str, str], at: str, week: list[PlannedStop], dana: Person
) -> None:
    assert faults(by_key(dana).post(f"{V1}/reasons", reason(week[2], **wrong))) == [at]
