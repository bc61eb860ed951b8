"""The schema's examples, sent as they are printed to the register that they tell of."""

from __future__ import annotations

import datetime as dt
import re
import shlex
from copy import deepcopy
from string import Template
from typing import Any
from uuid import uuid4

import pytest
from rest_framework.test import APIClient

from config.api.start import START
from fleet.api.fans import FAN, FEED
from fleet.api.machines import PLATE
from fleet.models import ExhaustSystem, Fan, Owner, Person, Site
from tests.api.asking import V1, by_key
from tests.api.logs import VISITS, WITHIN
from tests.api.served import operations
from tests.visits.photographs import photo

pytestmark = pytest.mark.django_db
BELT = {"belt": "sound", "sheaves": "sound", "bearings": "quiet"}


@pytest.fixture
def theirs(theo: Person) -> APIClient:
    """Theo's phone; the fan of the examples was walked in February and its duct inspected."""
    owner = Owner.objects.create(id=7, name="Tannevale Dining")
    site = Site.objects.create(
        id=12, owner=owner, name="Tannevale Cattle Market", time_zone="America/Chicago"
    )
    system = ExhaustSystem.objects.create(id=31, site=site, name="Main line")
    system.cooking.create(classes=["high"], valid_from=dt.date(2025, 1, 6))
    entered = {**FAN, "entered_on": dt.date(2025, 1, 6), "system": system}
    fan = Fan.objects.create(id=41, site=site, **entered)
    fan.machines.create(id=64, **{**PLATE, "installed_on": dt.date(2021, 5, 18)})
    fan.feeds.create(**FEED)
    Person.objects.update(qualified_code_inspection=True, qualified_energised_work=True)
    client = by_key(theo)
    walk = {"fan": "EF-1", "seen": {**WITHIN, **BELT}}
    for kind, day, part in (
        ("code_inspection", "2026-02-02T14:00", {"inspections": [{}]}),
        ("walk_through", "2026-02-16T09:00", {"checks": [walk]}),
    ):
        record = {"id": str(uuid4()), "kind": kind, "site_id": 12, "began_at": day, **part}
        assert client.post(VISITS, record).status_code == 201
    return client


def told(name: str, part: str) -> dict[str, Any]:
    """The examples of an operation's body, or of one of its answers, by what they are called."""
    operation = dict(operations())[name]
    body = operation["requestBody"] if part == "body" else operation["responses"][part]
    examples = body["content"]["application/json"]["examples"]
    return {each.get("summary", name): deepcopy(each["value"]) for name, each in examples.items()}


def sent_in_turn(client: APIClient, *names: str) -> list[Any]:
    """The answers to all examples of these operations, each sent as it is printed."""
    return [
        client.post(f"{V1}{name.removeprefix('POST ')}", body)
        for name in names
        for body in told(name, "body").values()
    ]


def test_example_when_sent_as_printed_then_answered_as_printed(theirs: APIClient) -> None:
    hinge = told("POST /visits", "body")["A broken hinge"]
    first, again = theirs.post(VISITS, hinge), theirs.post(VISITS, hinge)
    assert [first.json(), again.json()] == [
        told("POST /visits", "201")["A stop was found"],
        told("POST /visits", "200")["Stored already"],
    ]


def test_readings_when_judged_as_printed_then_the_verdicts_printed(theirs: APIClient) -> None:
    (answer,) = sent_in_turn(theirs, "POST /judge")
    assert answer.json() == told("POST /judge", "200")["Verdicts"]


def test_visit_when_read_again_then_as_printed(theirs: APIClient) -> None:
    hinge = told("POST /visits", "body")["A broken hinge"]
    theirs.post(VISITS, hinge)
    operation = dict(operations())["GET /visits/{id}"]["responses"]["200"]
    (printed,) = operation["content"]["application/json"]["examples"].values()
    found = theirs.get(f"{VISITS}/{hinge['id']}").json()
    # Names and times of this run differ.
    told_otherwise = {key: found[key] for key in ("received_at", "technician", "recorded_by")}
    assert found == printed["value"] | told_otherwise


def test_examples_when_sent_one_after_the_other_then_all_taken(theirs: APIClient) -> None:
    answers = sent_in_turn(
        theirs, "POST /events", "POST /visits", "POST /decisions", "POST /closings",
        "POST /visits/batch",
    )  # fmt: skip
    *_, batch = answers
    statuses = [each["status"] for each in batch.json()["results"]]
    assert ([each.status_code for each in answers], statuses) == ([201] * 6 + [200], [200] * 3)


def test_fan_when_dropped_at_a_cleaning_then_verdicts_and_dates_of_the_rules(
    theirs: APIClient,
) -> None:
    sent_in_turn(theirs, "POST /events")
    call = told("POST /visits", "body")["A fan dead after a hood cleaning, its switch replaced"]
    answer = theirs.post(VISITS, call).json()
    found = {each["subject"]: each["verdict"] for each in answer["checks"][0]["judgements"]}
    # Rules B: 207, 208, 206 V at 208-230 V, full load there 3.3 A; ISO 14694 BV-2: 0.5 in/s peak.
    sound = ("volts", "volts_unbalance", "amps", "winding_unbalance", "insulation", "rotation",
             "hinge", "catch", "cable", "grease_box")  # fmt: skip
    assert found == dict.fromkeys(sound, "within") | {
        "poles": "stop", "running": "stop", "vibration": "act", "wheel": "act",
        "wheel_gap": "watch",
    }  # fmt: skip
    # Rules C: what stopped it is repaired and the cleaning seen to; the walk of 16 February is due
    # a month on, act is looked at again after 14 days and overdue 3 days later.
    (due,) = answer["due"]
    dates = {each["rule"]: (each["due_on"], each["overdue_after"]) for each in due["dates"]}
    assert (due["stop"], due["due_rule"], due["overdue_rule"], dates) == (
        "", "walk_through", "vibration",
        {
            "walk_through": ("2026-03-16", "2026-03-30"),
            "vibration": ("2026-03-23", "2026-03-26"), "follow_up": ("2026-03-23", "2026-03-26"),
            "code_inspection": ("2026-05-02", "2026-05-02"),
        },
    )  # fmt: skip


def test_lines_for_a_terminal_when_run_as_printed_then_taken(theirs: APIClient) -> None:
    Person.objects.create_user("ruta", password="…")
    _, block, _ = START.split("```")
    known = {"API": V1}
    statuses = []
    for line in re.split(r"\n(?=curl |[A-Z]+=)", block.strip().replace("\\\n", " ")):
        words = shlex.split(line)
        if words[0] != "curl":
            name, _, known[name] = words[0].partition("=")
            known["API"] = V1
            continue
        address, told = Template(words[1]).substitute(known), words[2:]
        if "-d" in told:
            body, kind = told[told.index("-d") + 1].encode(), "application/json"
        else:
            body, kind = photo(), "image/jpeg"
        posted = {"-d", "--data-binary"} & {*told}
        answer = theirs.generic("POST", address, body, kind) if posted else theirs.get(address)
        statuses.append((address.removeprefix(V1).partition("?")[0][:7], answer.status_code))
    assert statuses == [
        ("/keys", 201), ("/fans", 200), ("/judge", 200), ("/visits", 201), ("/visits", 201),
        ("/due", 200), ("/change", 200),
    ]  # fmt: skip
