"""Lists of the register: narrowed, sparse, walked page by page, in a steady number of queries."""

from __future__ import annotations

import datetime as dt
import json
from base64 import urlsafe_b64encode
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from rest_framework.test import APIClient

from fleet.models import Owner, Person
from fleet.services.machines import correct_plate, replace_machine
from tests.api.asking import V1, by_key, faults
from tests.api.register import LISTS, addresses_of, lay_register
from tests.people import Roofs
from tests.schedules.fans import make_fan

pytestmark = pytest.mark.django_db
LATER = timezone.now() + dt.timedelta(days=1)
TOLD: dict[str, Any] = {"by": None, "now": LATER}


@pytest.fixture
def asker(dana: Person) -> APIClient:
    return by_key(dana)


def ids(answer: Any) -> list[int]:
    return [row["id"] for row in answer.json()["results"]]


@pytest.mark.parametrize(
    ("narrowed", "tags"),
    [
        ("owner={bakery.site.owner_id}", ["EF-1", "EF-2"]), ("site={diner.site_id}", ["EF-3"]),
        ("system={canteen.system_id}", ["EF-2"]), ("tag=EF-2", ["EF-2"]), ("tag=EF", []),
        ("serial=S-1", ["EF-2"]), ("serial=S-2", ["EF-2"]), ("serial=S", []),
        ("tag=EF-2&site={diner.site_id}", []),
    ],
)  # fmt: skip
def test_fans_when_narrowed_then_those(
    narrowed: str, tags: list[str], asker: APIClient, roofs: Roofs
) -> None:
    correct_plate(machine=roofs.canteen.machines.get(), plate={"serial": "S-1"}, **TOLD)
    day = dt.date(2026, 2, 1)
    replace_machine(fan=roofs.canteen, installed_on=day, plate={"serial": "S-2"}, **TOLD)
    told = asker.get(f"{V1}/fans?{narrowed.format(**vars(roofs))}").json()["results"]
    assert [fan["tag"] for fan in told] == tags


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ("fans?tag=EF-2", 1), ("fans?tag=EF-3", 0), ("fans?serial=OURS", 1),
        ("fans?serial=THEIRS", 0), ("machines?serial=OURS", 1), ("machines?serial=THEIRS", 0),
    ],
)  # fmt: skip
def test_text_when_an_owner_looks_for_it_then_never_beside_others_rows(
    asked: str, found: int, olga: Person, roofs: Roofs
) -> None:
    correct_plate(machine=roofs.canteen.machines.get(), plate={"serial": "OURS"}, **TOLD)
    correct_plate(machine=roofs.diner.machines.get(), plate={"serial": "THEIRS"}, **TOLD)
    client = by_key(olga)
    with CaptureQueriesContext(connection) as queries:
        told = ids(client.get(f"{V1}/{asked}"))
    asked_for = f"'{asked.partition('=')[2]}'"
    # What the database is not asked about cannot take it longer.
    assert (len(told), asked_for in str(queries.captured_queries)) == (found, False)


@pytest.mark.parametrize(("in_place", "serials"), [("true", ["", "S-2", ""]), ("false", [""])])
def test_machines_when_narrowed_to_those_in_place_or_gone_then_those(
    in_place: str, serials: list[str], asker: APIClient, roofs: Roofs
) -> None:
    day = dt.date(2026, 2, 1)
    replace_machine(fan=roofs.canteen, installed_on=day, plate={"serial": "S-2"}, **TOLD)
    told = asker.get(f"{V1}/machines?in_place={in_place}").json()["results"]
    assert sorted(machine["serial"] for machine in told) == sorted(serials)


def test_agreements_when_asked_which_are_in_force_then_those(
    asker: APIClient, roofs: Roofs
) -> None:
    lay_register(roofs)
    told = [
        len(ids(asker.get(f"{V1}/agreements?in_force_on={day}")))
        for day in ("2025-12-31", "2026-01-01")
    ]
    assert told == [0, 2]


def test_people_when_narrowed_to_a_role_then_those(asker: APIClient, theo: Person) -> None:
    assert ids(asker.get(f"{V1}/people?role=technician")) == [theo.pk]


@pytest.mark.parametrize("name", LISTS)
def test_rows_when_asked_what_changed_since_then_those_alone(
    name: str, asker: APIClient, roofs: Roofs
) -> None:
    lay_register(roofs)
    now = timezone.now().isoformat()
    address, field = getattr(addresses_of(roofs.canteen), name, ""), "notes"
    if name == "agreements":
        address = asker.get(f"{V1}/agreements?owner={roofs.diner.site.owner_id}").json()
        address = f"{V1}/agreements/{address['results'][0]['id']}"
    noted = dict.fromkeys(("blockers", "contacts", "supplied"), "note")
    fields = {"sites": "access_notes", "machines": "model", **noted}
    field = fields.get(name, "notes")
    asker.patch(address, {field: "x"}, HTTP_IF_MATCH="*")
    changed = ids(asker.get(f"{V1}/{name}", {"changed_since": now}))
    assert changed == [int(address.rpartition("/")[2])]


def test_fans_when_a_machine_changed_since_then_its_fan(asker: APIClient, roofs: Roofs) -> None:
    correct_plate(machine=roofs.diner.machines.get(), plate={"serial": "S-1"}, **TOLD)
    assert ids(asker.get(f"{V1}/fans", {"changed_since": LATER.isoformat()})) == [roofs.diner.pk]


@pytest.mark.parametrize("name", ["sites", "fans", "machines"])
def test_list_when_asked_for_some_fields_then_those(
    name: str, asker: APIClient, roofs: Roofs
) -> None:
    told = asker.get(f"{V1}/{name}?fields=id").json()["results"]
    assert [set(row) for row in told] == [{"id"}] * 3


@pytest.mark.parametrize(
    ("query", "parameter"),
    [
        ("fields=id,password", "fields"), ("fields=", "fields"), ("colour=red", "colour"),
        ("owner=x", "owner"), ("owner=1&owner=2", "owner"), ("owner=%D9%A3", "owner"),
        ("tag=%00", "tag"), ("changed_since=yesterday", "changed_since"),
        ("changed_since=2026-01-01", "changed_since"),
        ("changed_since=0001-01-01T00:00:00%2B14:00", "changed_since"),
        ("limit=0", "limit"), ("limit=201", "limit"), ("after=x", "after"),
    ],
)  # fmt: skip
def test_list_when_asked_what_makes_no_sense_then_pointed_at(
    query: str, parameter: str, asker: APIClient, roofs: Roofs
) -> None:
    answer = asker.get(f"{V1}/fans?{query}")
    assert (answer.status_code, faults(answer)) == (400, [parameter])


def key(*values: Any) -> str:
    return urlsafe_b64encode(json.dumps(values).encode()).decode().rstrip("=")


@pytest.mark.parametrize(
    "after",
    [
        key(None), key("x"), key(1, 2), key([]), key({}), key(float("inf")), key(float("nan")),
        key("\0"), key("\ud800"), key(1e400), key(2**70), key(-(2**70)), "é", "%00", "W" * 5000,
    ],
)  # fmt: skip
def test_list_when_it_begins_after_a_key_that_none_gave_out_then_400(
    after: str, asker: APIClient, roofs: Roofs
) -> None:
    assert asker.get(f"{V1}/fans", {"after": after}).status_code == 400


def test_keys_when_they_begin_after_half_a_character_then_400(asker: APIClient) -> None:
    after = key(timezone.now().isoformat(), "\ud800")
    assert asker.get(f"{V1}/keys", {"after": after}).status_code == 400


def test_pages_when_walked_while_rows_come_and_go_then_each_that_stayed_is_told_once(
    asker: APIClient, roofs: Roofs
) -> None:
    for number in range(20):
        Owner.objects.create(name=f"Owner {number}")
    stayed = set(
        Owner.objects.exclude(name__in=["Owner 7", "Owner 12"]).values_list("pk", flat=True)
    )
    told: list[int] = []
    address = f"{V1}/owners?limit=5"
    while address:
        answer = asker.get(address)
        told += ids(answer)
        address = answer.json()["next"]
        Owner.objects.filter(name__in=["Owner 7", "Owner 12"]).delete()
        if len(told) < 12:
            Owner.objects.create(name=f"Come later {len(told)}")
            Owner.objects.filter(pk=told[0]).update(name=f"Zoe {len(told)}")
    assert (len(told) == len(set(told)), stayed <= set(told)) == (True, True)


@pytest.mark.parametrize("name", [*LISTS, "people"])
def test_list_when_it_holds_more_then_no_more_queries(
    name: str, asker: APIClient, roofs: Roofs
) -> None:
    lay_register(roofs)
    asker.get(f"{V1}/{name}")
    counts = []
    for more in range(2):
        with CaptureQueriesContext(connection) as asked:
            rows = ids(asker.get(f"{V1}/{name}"))
        counts.append((len(asked), len(rows)))
        grow(more)
    assert (counts[0][0] == counts[1][0], counts[0][1] < counts[1][1]) == (True, True)


def grow(more: int) -> None:
    """Ten more of everything."""
    for number in range(10):
        fan = make_fan(f"M-{more}-{number}")
        fan.site.owner = Owner.objects.create(name=f"M-{more}-{number}")
        fan.site.save()
        fan.site.owner.agreements.create(starts_on=dt.date(2026, 1, 1))
        fan.feeds.create(panel="RP-1")
        fan.site.blockers.create(kind="lift", since_on=dt.date(2026, 1, 1))
        fan.site.contacts.create(name="Ada Mills", phone="555-0142")
        fan.supplied.create(entered_on=dt.date(2026, 1, 1))
        fan.system.closed_days.create(day=dt.date(2026, 12, 25))
        fan.system.cooking.create(valid_from=dt.date(2026, 1, 1), classes=["high"])
        Person.objects.create_user(f"m-{more}-{number}")
