"""Who may do what, operation by operation; one that the table does not know fails."""

from __future__ import annotations

import datetime as dt
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from rest_framework.test import APIClient

from fleet.models import ExhaustSystem, Person
from fleet.services.keys import give_key
from schedules.models import PlannedRound
from tests.api.asking import V1, by_key, nobody
from tests.api.fuzzing import OnRecord, lay_record
from tests.api.laid import (  # noqa: F401
    kept_dana,
    kept_olga,
    kept_photos,
    kept_roofs,
    kept_rows,
    kept_sam,
    kept_theo,
)
from tests.api.photos import send
from tests.api.served import operations, schema
from tests.people import Roofs
from tests.visits.photographs import photo

pytestmark = [pytest.mark.django_db, pytest.mark.once]
WHO = ("dana", "theo", "olga", "sam")
"""A dispatcher, a technician, the owner of what is asked for, another owner."""
ALL, SEEN = (200, 200, 200, 200), (200, 200, 200, 404)
ENTERED, EDITED = (201, 403, 403, 403), (200, 403, 403, 403)
COMPANY = (200, 200, 404, 404)
LOGGED, OWN = (201, 201, 403, 403), (200, 404, 404, 404)
TABLE = {
    "GET /owners": ALL, "POST /owners": ENTERED,
    "GET /owners/{id}": SEEN, "PATCH /owners/{id}": EDITED,
    "GET /agreements": ALL, "POST /agreements": ENTERED,
    "GET /agreements/{id}": SEEN, "PATCH /agreements/{id}": EDITED,
    "GET /sites": ALL, "POST /sites": ENTERED,
    "GET /sites/{id}": SEEN, "PATCH /sites/{id}": EDITED,
    "GET /blockers": ALL, "POST /blockers": ENTERED,
    "GET /blockers/{id}": SEEN, "PATCH /blockers/{id}": EDITED,
    "GET /contacts": ALL, "POST /contacts": ENTERED,
    "GET /contacts/{id}": SEEN, "PATCH /contacts/{id}": EDITED,
    "GET /systems": ALL, "POST /systems": ENTERED,
    "GET /systems/{id}": SEEN, "PATCH /systems/{id}": EDITED,
    "PUT /systems/{id}/cooking/{day}": EDITED,
    "PUT /systems/{id}/hours/{day}": EDITED,
    "PUT /systems/{id}/expected-cleanings/{day}": EDITED,
    "DELETE /systems/{id}/expected-cleanings/{day}": EDITED,
    "POST /systems/{id}/closed-days": EDITED,
    "DELETE /systems/{id}/closed-days/{day}": EDITED,
    "GET /fans": ALL, "POST /fans": ENTERED,
    "GET /fans/{id}": SEEN, "PATCH /fans/{id}": EDITED,
    "GET /fans/{id}/machines": SEEN, "POST /fans/{id}/machines": ENTERED,
    "GET /machines": ALL,
    "GET /machines/{id}": SEEN, "PATCH /machines/{id}": EDITED,
    "GET /people": ALL, "GET /people/{id}": OWN,
    "GET /visits": ALL, "POST /visits": LOGGED, "GET /visits/{id}": SEEN,
    "POST /visits/batch": (200, 200, 403, 403),
    "GET /events": ALL, "POST /events": LOGGED, "GET /events/{id}": SEEN,
    "POST /decisions": LOGGED, "POST /closings": LOGGED,
    "GET /due": ALL, "GET /due/{fan}": SEEN, "GET /changes": ALL,
    "GET /fans/{fan}/failures": SEEN,
    "GET /fans/{fan}/keeping": SEEN, "GET /fans/{fan}/replacement": SEEN,
    "GET /supplied": ALL, "POST /supplied": ENTERED,
    "GET /supplied/{id}": SEEN, "PATCH /supplied/{id}": EDITED,
    "GET /bookings": ALL, "GET /weeks/{week}/rounds": (200, 200, 404, 404),
    "GET /round": (404, 200, 404, 404), "GET /round/person": COMPANY,
    "GET /round/sites": COMPANY, "GET /round/sites/{site}": COMPANY,
    "GET /round/fans/{fan}": COMPANY,
    "GET /done": ALL, "GET /done/stops": ALL, "POST /reasons": LOGGED,
    "GET /patterns": ALL, "GET /patterns/{id}": SEEN, "POST /patterns/{id}/closing": EDITED,
    "GET /failures/counts": ALL,
    "GET /failures/curve": (200, 200, 404, 404), "GET /failures/crews": (200, 200, 404, 404),
    "POST /judge": ALL, "GET /failure-terms": ALL,
    "GET /photos": ALL, "GET /photos/{id}": SEEN,
    "GET /photos/{id}/image": SEEN, "GET /photos/{id}/thumbnail": SEEN,
    "POST /photos/{id}/withdrawal": EDITED,
    "GET /visits/{visit}/photos": SEEN, "POST /visits/{visit}/photos": LOGGED,
    "GET /keys": ALL, "POST /keys": (201, 201, 201, 201), "DELETE /keys/{id}": (204, 404, 404, 404),
}  # fmt: skip
OPEN = {"POST /keys"}
UUIDS = ("visits", "events", "keys", "photos")
# What the example names that stands on record already under a name that must be new.
FRESH: dict[str, dict[str, Any]] = {
    "POST /agreements": {"starts_on": "2026-06-01"}, "POST /fans": {"tag": "EF-9"},
    "POST /systems": {"name": "Fryers"},
    "POST /keys": {"username": "dana", "password": "roof-walk-91"},
}  # fmt: skip
# Parameters without which nothing is told.
MUST = {
    "/changes": {"since": "2026-01-01T00:00:00Z"}, "/done/stops": {"week": "2026-W49"},
    "/round": {"day": "2026-02-24"},
}  # fmt: skip
OPERATIONS = dict(operations())


@pytest.fixture(scope="module")
def record(roofs: Roofs, dana: Person, theo: Person) -> OnRecord:
    """Olga's roof on record, and Dana with a password and a key."""
    dana.set_password("roof-walk-91")
    dana.save()
    record = lay_record(roofs, dana)
    PlannedRound.objects.update(technician=theo)
    system = ExhaustSystem.objects.get(pk=record.ids["systems"])
    system.expected_cleanings.create(day=dt.date(2026, 12, 25))
    sent = send(by_key(dana), {"id": record.ids["visits"]})
    record.ids["photos"] = sent.json()["id"]
    return record


def ask(client: APIClient, name: str, record: OnRecord, ids: dict[str, Any] | None = None) -> Any:
    """Send the operation's own example, about what is on record or what ``ids`` names instead."""
    method, path = name.split(" ")
    own = record.ids.get(path.split("/")[1])
    address = V1 + path
    for step, value in {
        "id": own,
        "fan": own or record.ids["fans"],
        "site": record.ids["sites"],
        "visit": own,
        "day": "2026-12-25",
        "week": "2026-W09",
        **(ids or {}),
    }.items():
        address = address.replace(f"{{{step}}}", str(value))
    if name == "POST /visits/{visit}/photos":
        return client.post(f"{address}?id={uuid4()}", photo(), content_type="image/jpeg")
    body = OPERATIONS[name].get("requestBody")
    told = next(iter(body["content"]["application/json"]["examples"].values())) if body else None
    sent = {**record.named(told["value"]), **FRESH.get(name, {})} if told else None
    if method == "GET":
        sent = MUST.get(path)
    return getattr(client, method.lower())(address, sent, HTTP_IF_MATCH="*")


def test_table_when_read_then_knows_every_operation_and_no_other() -> None:
    assert set(TABLE) == set(OPERATIONS)


@pytest.mark.parametrize("name", TABLE)
@pytest.mark.parametrize("who", WHO)
def test_operation_when_asked_for_then_answered_by_role(
    name: str, who: str, record: OnRecord, request: pytest.FixtureRequest
) -> None:
    answer = ask(by_key(request.getfixturevalue(who)), name, record)
    assert answer.status_code == TABLE[name][WHO.index(who)], answer.content


@pytest.mark.parametrize("name", sorted(set(TABLE) - OPEN))
def test_operation_when_asked_for_without_a_key_that_holds_then_401(
    name: str, record: OnRecord, theo: Person
) -> None:
    key, token = give_key(person=theo, name="lost phone")
    key.delete()
    stranger = APIClient(HTTP_AUTHORIZATION=f"Token {token}")
    told = [ask(client, name, record) for client in (nobody(), stranger)]
    assert [answer.status_code for answer in told] == [401, 401]


@pytest.mark.parametrize("name", [name for name in TABLE if "{" in name])
@pytest.mark.parametrize("who", ["theo", "sam"])
def test_what_one_may_not_see_when_asked_for_then_answered_as_what_is_not_there(
    name: str, who: str, record: OnRecord, request: pytest.FixtureRequest
) -> None:
    client = by_key(request.getfixturevalue(who))
    missing = uuid4() if name.split("/")[1] in UUIDS else 99_999_999
    told = []
    for ids in ({}, dict.fromkeys(("id", "fan", "site", "visit", "week"), missing)):
        with CaptureQueriesContext(connection) as asked:
            answer = ask(client, name, record, ids)
        told.append((answer.status_code, answer.content, len(asked)))
    # A technician may see what another role may change.
    if who == "sam" or told[0][0] == 404:
        assert told[0] == told[1]
    assert told[1][0] in (403, 404)


PLURAL = {"owner": "owners", "site": "sites", "system": "systems", "fan": "fans",
          "technician": "people"}  # fmt: skip
NARROWED = [
    (name, each["name"])
    for name, told in OPERATIONS.items()
    for each in told.get("parameters", [])
    if name.startswith("GET ") and each["in"] == "query" and each["name"] in PLURAL
]


def test_list_when_narrowed_to_what_one_may_not_see_then_asked_of_the_database_as_for_nothing(
    record: OnRecord, sam: Person
) -> None:
    client, told = by_key(sam), {}
    for name, parameter in NARROWED:
        of_both = told[name, parameter] = []
        for id_ in (record.ids[PLURAL[parameter]], 99_999_999):
            asked = MUST.get(name.split(" ")[1], {})
            with CaptureQueriesContext(connection) as seen:
                answer = client.get(V1 + name.split(" ")[1], {**asked, parameter: id_})
            of_both.append((answer.status_code, answer.content, len(seen), seen[-1]["sql"]))
    assert len(told) > 20
    assert [key for key, (one, other) in told.items() if one != other or one[0] != 200] == []


@pytest.mark.parametrize("path", schema()["paths"])
def test_method_when_not_declared_then_405(path: str, record: OnRecord, dana: Person) -> None:
    client, steps = by_key(dana), path.removeprefix(V1).split("/")
    own = str(record.ids.get(steps[1]))
    named = {"{id}": own, "{fan}": own, "{visit}": own, "{day}": "2026-12-25", "{site}": "1"}
    if own == "None":
        named["{fan}"] = "1"
    for step, value in named.items():
        path = path.replace(step, value)
    declared = {name.split(" ")[0] for name in TABLE if name.split(" ")[1] == "/".join(steps)}
    undeclared = {"GET", "POST", "PUT", "PATCH", "DELETE"} - declared
    told = {method: getattr(client, method.lower())(path).status_code for method in undeclared}
    assert told == dict.fromkeys(undeclared, 405)


@pytest.mark.parametrize("path", ["/round", "/round/person", "/round/sites"])
def test_method_when_not_declared_where_an_owner_has_no_address_then_405_all_the_same(
    path: str, olga: Person
) -> None:
    client = by_key(olga)
    told = [client.get(V1 + path).status_code, client.post(V1 + path).status_code]
    assert told == [404, 405]
