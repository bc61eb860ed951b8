"""A phone's queue: every record by itself, in whatever order, as often as it takes."""

from __future__ import annotations

from typing import Any
from unittest import mock
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Fan, Person
from schedules.models import DueState
from schedules.services import log_visit
from tests.api.asking import by_key, faults, nobody
from tests.api.logs import BATCH, VISITS, cleaning, corrected, look, walk
from tests.people import Roofs
from visits.models import Closing, Decision, Event, Visit

pytestmark = pytest.mark.django_db


def send(person: Person, records: list[Any]) -> Any:
    return by_key(person).post(BATCH, {"records": records})


def statuses(answer: Any) -> list[int]:
    return [each["status"] for each in answer.json()["results"]]


def advice(fan: Fan, on: str) -> dict[str, Any]:
    """A visit at which something was recommended."""
    told = {"id": str(uuid4()), "fan": fan.tag, "subject": "hinge", "text": "Renew the hinge pins."}
    return walk(fan, on, recommendations=[told])


@pytest.mark.parametrize(
    ("who", "status"), [("dana", 200), ("theo", 200), ("olga", 403), ("sam", 403)]
)
def test_queue_when_posted_then_only_by_the_company(
    who: str, status: int, roofs: Roofs, request: pytest.FixtureRequest
) -> None:
    answer = send(request.getfixturevalue(who), [walk(roofs.bakery)])
    assert (answer.status_code, Visit.objects.count()) == (status, status == 200)


def test_queue_when_posted_by_nobody_then_401(roofs: Roofs) -> None:
    assert nobody().post(BATCH, {"records": [walk(roofs.bakery)]}).status_code == 401


def test_queue_when_some_of_it_is_bad_then_the_rest_is_stored_and_answered_in_order(
    roofs: Roofs, theo: Person
) -> None:
    good, event = walk(roofs.bakery), cleaning(roofs.canteen) | {"type": "event"}
    records = [
        {"type": "dance"}, 7, good, walk(roofs.bakery, kind="dance"), event,
        {**good, "notes": "another"}, good,
    ]  # fmt: skip
    answer = send(theo, records)
    assert (statuses(answer), Visit.objects.count(), Event.objects.count()) == (
        [400, 400, 201, 400, 201, 409, 200], 1, 1,
    )  # fmt: skip


def test_queue_when_a_record_is_bad_then_its_problem_points_into_it(
    roofs: Roofs, theo: Person
) -> None:
    (item,) = send(theo, [walk(roofs.bakery, kind="dance")]).json()["results"]
    assert [each["pointer"] for each in item["problem"]["errors"]] == ["#/kind"]


def test_queue_when_its_time_is_over_then_the_rest_is_to_be_sent_again(
    roofs: Roofs, theo: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("schedules.api.batch.PATIENCE_S", -1)
    records = [walk(roofs.bakery), walk(roofs.canteen)]
    told = [statuses(send(theo, records)) for _ in range(2)]
    # The first is always taken, so that whoever sends again what is left comes to an end.
    assert (told, Visit.objects.count()) == ([[201, 503], [200, 503]], 1)


def test_queue_when_out_of_order_then_what_depends_waits_for_what_it_names(
    roofs: Roofs, theo: Person
) -> None:
    first, advised = (
        look(roofs.bakery, seen={"hinge": "loose"}),
        advice(roofs.canteen, "2026-03-01"),
    )
    yes = {"recommendation": advised["recommendations"][0]["id"], "answer": "go_ahead"}
    later = walk(roofs.canteen, "2026-02-20", decisions=[yes | {"on": "2026-03-02"}])
    once = corrected(first, began_at="2026-02-01T09:00")
    twice = corrected(once)
    assert statuses(send(theo, [twice, later, once, advised, first])) == [201] * 5


def test_queue_when_it_holds_answers_and_closings_then_after_what_they_are_about(
    roofs: Roofs, theo: Person
) -> None:
    found = {"id": str(uuid4()), "fan": "EF-1", "subject": "hinge", "severity": "degraded"}
    first, advised = (
        walk(roofs.bakery, findings=[found]),
        advice(roofs.canteen, "2026-03-01"),
    )
    closing = {
        "type": "closing", "id": str(uuid4()), "finding": found["id"], "closed_on": "2026-03-05",
        "reason": "It was the neighbour's fan.",
    }  # fmt: skip
    decision = {
        "type": "decision", "id": str(uuid4()), "answer": "go_ahead", "on": "2026-03-04",
        "recommendation": advised["recommendations"][0]["id"],
    }  # fmt: skip
    again = corrected(first, began_at="2026-04-02T09:00")
    answer = send(theo, [closing, decision, again, advised, first])
    assert (statuses(answer), Closing.objects.count(), Decision.objects.count()) == (
        [201] * 5, 1, 1,
    )  # fmt: skip


def test_queue_when_two_correct_each_other_then_both_are_refused(
    roofs: Roofs, theo: Person
) -> None:
    one = corrected(walk(roofs.bakery))
    other = corrected(one)
    assert statuses(send(theo, [one | {"supersedes": other["id"]}, other])) == [400, 400]


def test_queue_when_it_broke_off_and_is_sent_again_then_nothing_is_doubled(
    roofs: Roofs, theo: Person
) -> None:
    records = [walk(roofs.bakery, f"2026-03-{day:02}T09:10") for day in range(1, 7)]
    send(theo, records[:3])
    assert (statuses(send(theo, records)), Visit.objects.count()) == ([200] * 3 + [201] * 3, 6)


def test_queue_when_sent_backwards_then_the_same_dates_as_one_by_one(
    roofs: Roofs, theo: Person
) -> None:
    def due() -> list[Any]:
        rows = DueState.objects.filter(fan__in=[roofs.bakery.pk]).order_by("fan_id")
        return list(rows.values_list("due_on", "overdue_after", "worst_verdict"))

    records = [
        look(roofs.bakery, f"2026-03-{day:02}T09:10", seen={"wheel": state})
        for day, state in ((1, "dirty"), (5, "clean"), (9, "dented"))
    ]
    for record in records:
        by_key(theo).post(VISITS, record)
    one_by_one = due()
    Visit.objects.all().delete()
    DueState.objects.all().delete()
    send(theo, [record | {"id": str(uuid4())} for record in records[::-1]])
    assert due() == one_by_one


def test_queue_when_something_fails_inside_us_then_the_other_records_are_stored(
    roofs: Roofs, theo: Person
) -> None:
    # A fault of ours cannot be sent for; the one thing replaced is the service at its second call.
    calls: list[Any] = []

    def failing(**told: Any) -> Any:
        calls.append(told)
        if len(calls) == 2:
            raise RuntimeError("a fault of ours")
        return log_visit(**told)

    records = [walk(roofs.bakery, f"2026-03-{day:02}T09:10") for day in range(1, 4)]
    with mock.patch.dict("schedules.api.batch.SERVICES", visit=failing):
        answer = send(theo, records)
    assert (statuses(answer), Visit.objects.count()) == ([201, 500, 201], 2)


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ([], "#"), ({}, "#"), ({"records": {}}, "#"), ({"records": [], "more": 1}, "#"),
        ({"records": [1] * 101}, "#/records"),
    ],
)  # fmt: skip
def test_queue_when_it_is_none_then_400(body: Any, pointer: str, theo: Person) -> None:
    answer = by_key(theo).post(BATCH, body)
    assert (answer.status_code, faults(answer)) == (400, [pointer])


@pytest.mark.parametrize("strangers", [1, 900])
def test_queue_when_it_names_fans_nobody_knows_then_one_look_up_a_record(
    strangers: int, roofs: Roofs, theo: Person
) -> None:
    missed = [{"fan": f"XX-{number}", "reason": "weather"} for number in range(strangers)]
    records = [walk(roofs.bakery, not_reached=missed) for _ in range(5)]
    phone = by_key(theo)
    with CaptureQueriesContext(connection) as asked:
        answer = phone.post(BATCH, {"records": records})
    looked_up = [each for each in asked if "SAVEPOINT" not in each["sql"]]
    # the key, and for each record the site with its fans, whose tags the remedy lists
    assert (statuses(answer), len(looked_up)) == ([400] * 5, 1 + 5)
