"""What no honest client sends to the register: refused with a sentence, never a fault of ours."""

from __future__ import annotations

from typing import Any

import pytest
from rest_framework.test import APIClient

from fleet.models import Fan, Owner, Person, Site
from tests.api.asking import V1, by_key, faults
from tests.api.register import LISTS, Addresses, lay_register
from tests.people import Roofs

pytestmark = pytest.mark.django_db
STRANGE: list[Any] = [
    None, True, -1, 1e300, 2**63, 10**400, "", "\0", "\ud800", "x" * 10_000, [], {}, [[]],
    {"a": {}}, ["x"] * 500, "0001-01-01", "9999-12-31", "2026-02-30", "1e999", "nan", 1.5,
]  # fmt: skip


@pytest.fixture
def own(roofs: Roofs) -> Addresses:
    return lay_register(roofs)[0]


@pytest.fixture
def asker(dana: Person) -> APIClient:
    return by_key(dana)


@pytest.mark.parametrize("name", LISTS)
def test_row_when_any_member_is_anything_then_taken_or_pointed_at(
    name: str, own: Addresses, asker: APIClient
) -> None:
    address = getattr(own, name)
    members = asker.get(address).json()
    told = {
        (member, repr(value)[:30]): asker.patch(address, {member: value}, HTTP_IF_MATCH="*")
        for member in members
        for value in STRANGE
    }
    bad = {
        what: answer.status_code
        for what, answer in told.items()
        if answer.status_code != 200 and faults(answer)[0].split("/")[1:2] != [what[0]]
    }
    assert bad == {}


@pytest.mark.parametrize("name", LISTS)
@pytest.mark.parametrize("body", [None, [], "x", 7, [{}], {"": 1}, {"a/b~": 1}])
def test_row_when_edited_by_no_object_or_a_strange_member_then_400(
    name: str, body: Any, own: Addresses, asker: APIClient
) -> None:
    address = getattr(own, name)
    assert asker.patch(address, body, HTTP_IF_MATCH="*").status_code == 400


@pytest.mark.parametrize("member", ["owner", "site", "system"])
@pytest.mark.parametrize("value", STRANGE, ids=lambda value: repr(value)[:20])
def test_row_when_it_would_belong_to_anything_then_pointed_at(
    member: str, value: Any, asker: APIClient, roofs: Roofs
) -> None:
    entry = {"owner": "sites", "site": "systems", "system": "fans"}[member]
    named = {"name": "x", "time_zone": "America/Chicago"} if entry == "sites" else {"name": "x"}
    body = {member: value, **({"tag": "x"} if entry == "fans" else named)}
    answer = asker.post(f"{V1}/{entry}", body)
    assert (answer.status_code, faults(answer)) == (400, [f"#/{member}"])


@pytest.mark.parametrize("part", ["cooking", "hours", "expected-cleanings"])
@pytest.mark.parametrize(
    "day", ["0001-01-01", "9999-12-31", "2026-02-30", "2026-1-1", "today", "%00", "٢٠٢٦-01-01"]
)
def test_calendar_when_the_day_is_none_then_404(
    part: str, day: str, own: Addresses, asker: APIClient
) -> None:
    answer = asker.put(f"{own.systems}/{part}/{day}", {}, HTTP_IF_MATCH="*")
    assert answer.status_code == 404


@pytest.mark.parametrize("value", STRANGE, ids=lambda value: repr(value)[:20])
def test_closed_days_when_they_are_anything_then_400(
    value: Any, own: Addresses, asker: APIClient
) -> None:
    told = [
        asker.post(f"{own.systems}/closed-days", {"days": days}, HTTP_IF_MATCH="*").status_code
        for days in (value, [value])
    ]
    assert told == [400, 400]


@pytest.mark.parametrize("name", [*LISTS, "people"])
@pytest.mark.parametrize("pk", ["0", "-1", str(2**63), "9" * 4000, "9" * 5000, "x", "1.5", "%00"])
def test_row_when_its_id_is_none_then_404(name: str, pk: str, asker: APIClient) -> None:
    assert asker.get(f"{V1}/{name}/{pk}").status_code == 404


@pytest.mark.parametrize("tag", ['"', "", "W/x", "\x7f", '"a", "b"', "x" * 5000])
def test_row_when_edited_under_a_tag_that_none_gave_out_then_412(
    tag: str, own: Addresses, asker: APIClient
) -> None:
    assert asker.patch(own.sites, {}, HTTP_IF_MATCH=tag).status_code == 412


def test_plate_when_its_parts_together_cannot_be_then_nothing_is_stored(
    own: Addresses, asker: APIClient, roofs: Roofs
) -> None:
    before = roofs.bakery.machines.values().get()
    asker.patch(own.machines, {"volts": "460", "full_load_amps": "3/1"}, HTTP_IF_MATCH="*")
    assert roofs.bakery.machines.values().get() == before


def test_lists_after_all_that_was_refused_then_nothing_came(asker: APIClient, roofs: Roofs) -> None:
    for name in ("owners", "sites", "fans"):
        asker.post(f"{V1}/{name}", {"name": "\0", "tag": "\0"})
    counts = [model.objects.count() for model in (Owner, Site, Fan)]
    assert counts == [2, 3, 3]
