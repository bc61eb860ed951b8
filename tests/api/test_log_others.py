"""Events, owners' answers and closings through the API: by whom, once, and what they move."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Fan, Person
from tests.api.asking import V1, by_key, faults, nobody
from tests.api.logs import EVENTS, VISITS, cleaning, corrected, look, walk
from tests.people import Roofs
from visits.models import Closing, Decision, Event, Finding

pytestmark = pytest.mark.django_db
DECISIONS, CLOSINGS = f"{V1}/decisions", f"{V1}/closings"


def told_no(fan: Fan, **parts: Any) -> dict[str, Any]:
    """The owner declined to have the hinge repaired."""
    return {
        "id": str(uuid4()), "owner": fan.site.owner.name, "site": fan.site.name, "fan": fan.tag,
        "subject": "hinge", "answer": "declined", "on": "2026-03-04", **parts,
    }  # fmt: skip


@pytest.fixture
def finding(roofs: Roofs, theo: Person) -> Finding:
    """A loose hinge at the bakery that somebody wrote down."""
    found = [{"fan": "EF-1", "subject": "hinge", "severity": "degraded"}]
    by_key(theo).post(VISITS, walk(roofs.bakery, findings=found))
    return Finding.objects.get()


def closed(finding: Finding) -> dict[str, Any]:
    return {
        "id": str(uuid4()), "finding": str(finding.pk), "closed_on": "2026-03-05",
        "reason": "It was the neighbour's fan.",
    }  # fmt: skip


WHO = [("dana", 201), ("theo", 201), ("olga", 403), ("sam", 403)]


@pytest.mark.parametrize(("who", "status"), WHO)
def test_others_when_posted_then_only_by_the_company(
    who: str, status: int, roofs: Roofs, finding: Finding, request: pytest.FixtureRequest
) -> None:
    client = by_key(request.getfixturevalue(who))
    sent = ((EVENTS, cleaning(roofs.bakery)), (DECISIONS, told_no(roofs.bakery)),
            (CLOSINGS, closed(finding)))  # fmt: skip
    told = [client.post(address, body).status_code for address, body in sent]
    stored = (Event.objects.count(), Decision.objects.count(), Closing.objects.count())
    assert (told, stored) == ([status] * 3, (status == 201,) * 3)


def test_event_when_a_tipped_fan_is_none_here_then_its_tag_is_pointed_at(
    roofs: Roofs, theo: Person
) -> None:
    answer = by_key(theo).post(EVENTS, cleaning(roofs.bakery, tipped=["EF-1", "EF-9"]))
    assert faults(answer) == ["#/tipped/1"]


@pytest.mark.parametrize("address", [EVENTS, DECISIONS, CLOSINGS])
def test_others_when_posted_by_nobody_then_401(address: str, db: None) -> None:
    assert nobody().post(address, {}).status_code == 401


def test_cleaning_when_posted_then_the_look_after_it_is_due(roofs: Roofs, theo: Person) -> None:
    by_key(theo).post(VISITS, walk(roofs.bakery))
    answer = by_key(theo).post(EVENTS, cleaning(roofs.bakery))
    rules = {each["rule"]: each["sentence"] for each in answer.json()["due"][0]["dates"]}
    assert rules["after_event"] == "A look after the hood cleaning of Thu 5 Mar 2026."


def test_answer_when_posted_then_recorded_by_whoever_did_and_the_looks_come_less_often(
    roofs: Roofs, theo: Person, dana: Person
) -> None:
    def follow_up(answer: Any) -> str:
        dates = answer.json()["due"][0]["dates"]
        return next(each["due_on"] for each in dates if each["rule"] == "follow_up")

    before = by_key(theo).post(VISITS, look(roofs.bakery, seen={"wheel": "dented"}))
    after = by_key(dana).post(DECISIONS, told_no(roofs.bakery, subject="wheel"))
    # Rules C 6: act is looked at again after 14 days, half as often once the owner declined.
    assert (follow_up(before), follow_up(after), Decision.objects.get().recorded_by) == (
        "2026-03-16", "2026-03-30", dana,
    )  # fmt: skip


def test_finding_when_closed_then_it_moves_no_date_any_more(finding: Finding, dana: Person) -> None:
    answer = by_key(dana).post(CLOSINGS, closed(finding))
    rules = [each["rule"] for each in answer.json()["due"][0]["dates"]]
    assert (answer.status_code, "follow_up" in rules) == (201, False)


def test_others_when_posted_again_then_the_same_answer_and_one_row(
    roofs: Roofs, dana: Person, finding: Finding
) -> None:
    sent = ((EVENTS, cleaning(roofs.bakery)), (DECISIONS, told_no(roofs.bakery)),
            (CLOSINGS, closed(finding)))  # fmt: skip
    client = by_key(dana)
    first = [client.post(address, body) for address, body in sent]
    again = [client.post(address, body) for address, body in sent]
    stored = (Event.objects.count(), Decision.objects.count(), Closing.objects.count())
    assert (stored, [each.status_code for each in again]) == ((1, 1, 1), [200] * 3)
    # Of the first, what came after it has moved the same fan's dates; the last is as it was.
    assert again[-1].json() == {**first[-1].json(), "created": False}


def test_others_when_their_id_is_taken_then_409(
    roofs: Roofs, dana: Person, finding: Finding
) -> None:
    client, told = by_key(dana), []
    for address, body, other in (
        (EVENTS, cleaning(roofs.diner), {"note": "x"}),
        (DECISIONS, told_no(roofs.diner), {"note": "x"}),
        (CLOSINGS, closed(finding), {"reason": "x"}),
    ):
        client.post(address, body)
        told.append(client.post(address, body | other).json()["code"])
    assert told == ["id_taken"] * 3


def test_finding_when_there_is_none_then_pointed_at(dana: Person) -> None:
    body = {"id": str(uuid4()), "finding": str(uuid4()), "closed_on": "2026-03-05", "reason": "x"}
    assert faults(by_key(dana).post(CLOSINGS, body)) == ["#/finding"]


def test_event_when_corrected_then_the_old_one_is_listed_only_when_asked_for(
    roofs: Roofs, theo: Person
) -> None:
    client, old = by_key(theo), cleaning(roofs.bakery)
    new = corrected(old, started="2026-03-06T23:00")
    for each in (old, new):
        client.post(EVENTS, each)

    def listed(query: str = "") -> list[str]:
        return [each["id"] for each in client.get(f"{EVENTS}{query}").json()["results"]]

    assert (listed(), listed("?superseded=true")) == ([new["id"]], [new["id"], old["id"]])


@pytest.mark.parametrize(
    ("who", "seen"), [("dana", 2), ("theo", 2), ("olga", 1), ("sam", 1)]
)  # fmt: skip
def test_events_when_listed_or_opened_then_only_what_is_theirs_to_see(
    who: str, seen: int, roofs: Roofs, theo: Person, request: pytest.FixtureRequest
) -> None:
    events = [cleaning(roofs.bakery), cleaning(roofs.diner)]
    for event in events:
        by_key(theo).post(EVENTS, event)
    client = by_key(request.getfixturevalue(who))
    opened = [client.get(f"{EVENTS}/{event['id']}").status_code for event in events]
    narrowed = [f"fan={fan.pk}" for fan in (roofs.bakery, roofs.diner)]
    of_others = [len(client.get(f"{EVENTS}?{each}").json()["results"]) for each in narrowed]
    assert (len(client.get(EVENTS).json()["results"]), opened.count(200), sum(of_others)) == (
        seen, seen, seen,
    )  # fmt: skip


def test_events_when_asked_for_by_nobody_then_401(db: None) -> None:
    told = [nobody().get(each).status_code for each in (EVENTS, f"{EVENTS}/{uuid4()}")]
    assert told == [401, 401]


def test_visits_when_of_one_fan_then_nothing_is_asked_of_each_other_visit(
    roofs: Roofs, theo: Person
) -> None:
    client = by_key(theo)
    for fan in (roofs.bakery, roofs.canteen):
        client.post(VISITS, walk(fan))
    with CaptureQueriesContext(connection) as asked:
        told = client.get(f"{VISITS}?fan={roofs.bakery.pk}").json()["results"]
    of_each = [row["sql"] for row in asked if '"visit_id" = ("visits_visit"."id")' in row["sql"]]
    assert (len(told), of_each) == (1, [])
