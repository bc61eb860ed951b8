"""What a broken or hostile client sends to every operation: refused, never our fault."""

from __future__ import annotations

import json
from base64 import urlsafe_b64encode
from collections.abc import Iterator
from copy import deepcopy
from typing import Any

import pytest
from rest_framework.test import APIClient

from fleet.models import Person
from tests.api.asking import V1, by_key, faults
from tests.api.fuzzing import OnRecord, lay_record, undone
from tests.api.laid import kept_dana, kept_photos, kept_roofs, kept_rows  # noqa: F401
from tests.api.photos import send as send_photo
from tests.api.served import operations
from tests.people import Roofs

pytestmark = pytest.mark.django_db
PROBLEM = "application/problem+json"
OPERATIONS = dict(operations())
TAKING = [
    name
    for name, told in OPERATIONS.items()
    if "application/json" in told.get("requestBody", {}).get("content", {})
]
EDITS = [name for name in OPERATIONS if "412" in OPERATIONS[name]["responses"]]
PAGED = [
    name
    for name, told in OPERATIONS.items()
    if any(each["name"] == "after" for each in told.get("parameters", []))
]
BODIES: dict[str, tuple[bytes, int]] = {
    "nothing read": (b"{", 400),
    "a list": (b"[]", 400),
    "null": (b"null", 400),
    "a number": (b"7", 400),
    "a text": (b'"visit"', 400),
    "not a number": (b'{"a": NaN}', 400),
    "infinite": (b'{"a": -Infinity}', 400),
    "infinite in digits": (b'{"a": 1e999}', 400),
    "beyond 64 bits": (b'{"a": 18446744073709551616}', 400),
    "a name twice": (b'{"a": 1, "a": 2}', 400),
    "UTF-16": ('{"a": "é"}'.encode("utf-16"), 400),
    "Latin-1": ('{"a": "é"}'.encode("latin-1"), 400),
    "half a character": (rb'{"a": "\ud800"}', 400),
    "half a character as a name": (rb'{"\udfff": 1}', 400),
    "a NUL": (rb'{"\u0000": "\u0000"}', 400),
    "nested": (b'{"a": ' + b"[" * 40 + b"]" * 40 + b"}", 400),
    "nested beyond the stack": (b"[" * 100_000, 400),
    "too long": (b'"' + b"x" * 10_000_001 + b'"', 413),
}
STRANGE: list[Any] = [
    None, True, -1, 2**70, 1e308, "a\0b", "x" * 5000, "0001-01-01", "9999-12-31T23:59-14:00",
    "2026-03-02T09:10 Mars/Olympus", [], {"x": {}},
]  # fmt: skip
BATCH = "POST /visits/batch"
TAGS = ["x", '"', '"aa', 'W/"5f"', '"5f" , "', "\\", "x" * 5000]


@pytest.fixture(scope="module")
def record(roofs: Roofs, dana: Person) -> OnRecord:
    record = lay_record(roofs, dana)
    sent = send_photo(by_key(dana), {"id": record.ids["visits"]})
    record.ids["photos"] = sent.json()["id"]
    return record


@pytest.fixture(scope="module")
def client(dana: Person) -> APIClient:
    return by_key(dana)


def address(name: str, record: OnRecord) -> str:
    """Where the operation is about what is on record."""
    path = name.split(" ")[1]
    own = next((str(record.ids[step]) for step in path.split("/") if step in record.ids), "none")
    for step in ("{id}", "{fan}", "{visit}", "{site}"):
        path = path.replace(step, own)
    return V1 + path.replace("{day}", "2026-12-25")


def send(client: APIClient, name: str, record: OnRecord, body: bytes, **told: Any) -> Any:
    method = name.split(" ")[0]
    told = {"content_type": "application/json", "HTTP_IF_MATCH": "*", **told}
    return client.generic(method, address(name, record), body, **told)


@pytest.mark.parametrize("name", TAKING)
def test_body_when_no_honest_client_sends_it_then_a_problem(
    name: str, client: APIClient, record: OnRecord
) -> None:
    told = {}
    for body, (data, _) in BODIES.items():
        answer = send(client, name, record, data)
        told[body] = (answer.status_code, answer["Content-Type"])
    assert told == {body: (status, PROBLEM) for body, (_, status) in BODIES.items()}


@pytest.mark.parametrize("name", TAKING)
def test_body_when_of_another_type_then_415(name: str, client: APIClient, record: OnRecord) -> None:
    types = ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", "x"]
    answers = [send(client, name, record, b"a=b", content_type=each) for each in types]
    assert [answer.status_code for answer in answers] == [415] * len(types)


def example(name: str, record: OnRecord) -> Any:
    """The operation's own example about what is on record."""
    content = OPERATIONS[name]["requestBody"]["content"]["application/json"]
    return record.named(deepcopy(next(iter(content["examples"].values()))["value"]))


def places(value: Any, steps: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Where each value of a document stands."""
    inner = value.items() if isinstance(value, dict) else enumerate(value)
    for step, each in inner:
        yield (*steps, step)
        if isinstance(each, (dict, list)):
            yield from places(each, (*steps, step))


def put(document: Any, steps: tuple[Any, ...], value: Any) -> Any:
    """The document with another value in that place."""
    changed = deepcopy(document)
    inner = changed
    for step in steps[:-1]:
        inner = inner[step]
    inner[steps[-1]] = value
    return changed


# A batch reads its items as those two do.
@pytest.mark.attack
@pytest.mark.parametrize("name", sorted({*TAKING} - {"POST /visits/batch"}))
def test_value_when_strange_then_taken_or_pointed_at_but_never_our_fault(
    name: str, client: APIClient, record: OnRecord
) -> None:
    whole = example(name, record)
    wrong = []
    for steps in places(whole):
        for value in STRANGE:
            with undone():
                body = json.dumps(put(whole, steps, value)).encode()
                answer = send(client, name, record, body)
            pointed = answer.status_code == 400 and all(faults(answer)) and faults(answer)
            # A name or password that nobody has is no fault of the body's.
            refused = name == "POST /keys" and answer.status_code == 401
            if answer.status_code not in (200, 201) and not pointed and not refused:
                wrong.append((steps, value, answer.status_code, answer.content))
    assert wrong == []


@pytest.mark.parametrize("name", TAKING)
def test_member_when_unknown_then_pointed_at_with_what_is_known(
    name: str, client: APIClient, record: OnRecord
) -> None:
    whole = example(name, record)
    answer = send(client, name, record, json.dumps({**whole, "surprise": 1}).encode())
    told = answer.json()["errors"]
    assert (answer.status_code, told[0]["pointer"] in ("#/surprise", "#")) == (400, True)


@pytest.mark.parametrize("name", TAKING)
def test_members_when_thousands_are_unknown_then_a_hundred_are_told_and_the_others_counted(
    name: str, client: APIClient, record: OnRecord
) -> None:
    strange = {f"k{number}": 1 for number in range(3_000)}
    known = example("POST /visits" if name == BATCH else name, record)
    whole = {"records": [known | strange]} if name == BATCH else known | strange
    answer = send(client, name, record, json.dumps(whole).encode()).json()
    problem = answer["results"][0]["problem"] if name == BATCH else answer
    last = problem["errors"][-1]["problem"]
    assert (len(problem["errors"]), problem["detail"], last[1:]) == (
        101, "More than 100 things to put right.", "900 more things are wrong",
    )  # fmt: skip


READS = [name for name in OPERATIONS if name.startswith("GET ")]


@pytest.mark.parametrize("name", READS)
@pytest.mark.parametrize("parameter", ["surprise", "format"])
def test_read_when_asked_with_a_parameter_that_it_does_not_know_then_told(
    name: str, parameter: str, client: APIClient, record: OnRecord
) -> None:
    answer = client.get(address(name, record), {**ASKED.get(name, {}), parameter: "xml"})
    assert (answer.status_code, parameter in faults(answer)) == (400, True)


@pytest.mark.parametrize("name", EDITS)
def test_edit_when_its_if_match_is_malformed_then_412(
    name: str, client: APIClient, record: OnRecord
) -> None:
    body = json.dumps(example(name, record)).encode() if name in TAKING else b""
    answers = [send(client, name, record, body, HTTP_IF_MATCH=tag) for tag in TAGS]
    assert [answer.status_code for answer in answers] == [412] * len(TAGS)


@pytest.mark.parametrize("name", [name for name in EDITS if name.startswith("PATCH")])
@pytest.mark.parametrize("body", [b"{}", b""])
def test_edit_when_it_changes_nothing_then_200_and_the_same_state(
    name: str, body: bytes, client: APIClient, record: OnRecord
) -> None:
    before = client.get(address(name, record))
    answer = send(client, name, record, body)
    assert (answer.status_code, answer["ETag"]) == (200, before["ETag"])


def key(*values: Any) -> str:
    return urlsafe_b64encode(json.dumps(values).encode()).decode().rstrip("=")


ASKED = {"GET /changes": {"since": "2026-01-01T00:00:00Z"}, "GET /done/stops": {"week": "2026-W48"}}
TAMPERED = [
    "!", "\0", "x" * 5000, "%", "é", key(), key(None), key(1, 2, 3, 4, 5), key([[]]),
    key("\ud800"), key({"a": 1}), key(1e300), key("0001-01-01", "x"),
    key("0001-01-01T00:00:00+14:00", 1), key("9999-12-31T23:59:59-14:00", 1),
]  # fmt: skip


@pytest.mark.parametrize("name", PAGED)
def test_list_when_its_key_was_tampered_with_then_400_at_after(
    name: str, client: APIClient, record: OnRecord
) -> None:
    told = {}
    for after in TAMPERED:
        answer = client.get(address(name, record), {**ASKED.get(name, {}), "after": after})
        told[after] = (answer.status_code, faults(answer) if answer.status_code == 400 else [])
    assert told == dict.fromkeys(TAMPERED, (400, ["after"]))
