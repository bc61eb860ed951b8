"""Phones that post, repeat, correct and race in any order: the record ends as if kept neatly."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from itertools import count
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    initialize,
    rule,
    run_state_machine_as_test,
)
from rest_framework.test import APIClient

from fleet.models import Fan, Person, Site
from schedules.due.answers import read_answer
from schedules.due.reckoning import reckon_fans
from schedules.models import DueState
from tests.api.asking import at_once, by_key
from tests.api.logs import BATCH, EVENTS, VISITS
from tests.visits.roofs import NOW, WITHIN, make_roof
from visits.models import Event, Visit

EXAMPLES = int(os.environ.get("PHONES_EXAMPLES", "6"))
STEPS = int(os.environ.get("PHONES_STEPS", "8"))
Payload = dict[str, Any]

SPECTRUM = {"vibration_detector": "rms", "vibration_meter": "overall", "vibration_hz": 28.8}
CHECKS: list[Payload] = [
    {"seen": dict(WITHIN)},
    {"seen": {**WITHIN, "wheel": "dirty"}},
    {"seen": {"hinge": "broken"}},
    {"seen": {"hinge": "loose"}, "lasting": ["hinge"]},
    {"seen": {"hinge": "sound", "wheel": "clean"}},
    {"seen": {"wheel": "dented"}, "recheck": {"wheel": "2026-08-01"}},
    {"readings": {"vibration_motor_radial": 9.1}, "context": SPECTRUM},
    {"readings": {"vibration_motor_radial": 2.2}, "context": SPECTRUM},
    {"readings": {"grease_duct": {"high": 1200}, "grease_hood": 400}},
    {"readings": {"grease_duct": 60}},
    {"readings": {"volts_ab": 231, "volts_bc": 229, "volts_ca": 205}},
    {"readings": {"hour_meter": 4200}},
]
TOLD: list[Callable[[str], Payload]] = [
    lambda fan: {},
    lambda fan: {"findings": [{"fan": fan, "subject": "hinge", "severity": "critical"}]},
    lambda fan: {
        "findings": [{"fan": fan, "item": "belt", "severity": "degraded", "lasting": True}]
    },
    lambda fan: {"actions": [{"fan": fan, "kind": "repaired", "item": "hinge"}]},
    lambda fan: {"actions": [{"fan": fan, "kind": "balanced"}]},
    lambda fan: {"made_safe": [{"fan": fan, "told": "the chef"}]},
    lambda fan: {"inspections": [{"system": "Main line"}]},
    lambda fan: {"not_reached": [{"fan": fan, "item": "duct", "reason": "no_access"}]},
]
HAPPENED: list[Payload] = [
    {"kind": "hood_cleaning", "places_cleaned": ["hood", "duct"], "tipped": ["EF-1"]},
    {"kind": "hood_cleaning", "places_cleaned": ["housing"], "wheel_cleaned": True},
    {"kind": "storm"},
    {"kind": "power_event"},
    {"kind": "kitchen_change"},
    {"kind": "breaker_reset", "fan": "EF-2", "resets": 2},
]
BAD: list[Any] = [7, {}, {"type": "closing"}, {"id": "x"}, {"kind": "dance"}, []]
DAYS = st.dates(NOW.date().replace(month=1, day=5), NOW.date().replace(day=14))
"""Nothing of it lies ahead of the instant at which the tests reckon."""


def answers_of(fans: Iterable[Fan]) -> list[Any]:
    """What is stored of these fans' dates, in the order of the fans."""
    names = ("due_on", "due_rule", "overdue_after", "overdue_rule", "not_before", "worst_verdict")
    rows = {row.fan_id: row for row in DueState.objects.filter(fan__in=[fan.pk for fan in fans])}
    return [
        [getattr(rows[fan.pk], name) for name in names]
        + [rows[fan.pk].fault, read_answer(rows[fan.pk].dates)]
        if fan.pk in rows
        else None
        for fan in fans
    ]


class Phones(RuleBasedStateMachine):
    """Two technicians' phones and one roof of two fans; what was stored is kept beside."""

    person: Person
    numbers = count(1)
    payloads = Bundle("payloads")

    @initialize()
    def climb(self) -> None:
        self.stored: dict[str, Payload] = {}
        self.replaced: set[str] = set()
        self.minutes = count()
        self.roof = self.lay("climbed")
        self.phone = by_key(self.person)

    def lay(self, name: str) -> Site:
        number = next(self.numbers)
        roof = make_roof(owner=f"Owner {number}", site=f"Roof {name} {number}")
        reckon_fans(fan_ids=list(roof.fans.values_list("pk", flat=True)), now=NOW)
        return roof

    # ---- what may be sent

    def moment(self, day: Any) -> str:
        """On that day; no two at the same minute, since of those neither is first."""
        minute = next(self.minutes)
        return f"{day.isoformat()}T{6 + minute // 60:02}:{minute % 60:02}"

    @rule(
        target=payloads, day=DAYS, tag=st.sampled_from(["EF-1", "EF-2"]),
        told=st.sampled_from(TOLD),
        checks=st.lists(st.sampled_from(CHECKS), min_size=1, max_size=2),
        kind=st.sampled_from(["walk_through", "maintenance", "service_call"]),
    )  # fmt: skip
    def write_visit(self, day: Any, tag: str, told: Any, checks: Any, kind: str) -> Payload:
        stages = ("as_found", "as_left")
        looked = [
            {"fan": tag, "stage": stage, **each}
            for stage, each in zip(stages, checks, strict=False)
        ]
        return {
            "id": str(uuid4()), "kind": kind, "site_id": self.roof.pk,
            "began_at": self.moment(day), "checks": looked, **told(tag),
        }  # fmt: skip

    @rule(target=payloads, day=DAYS, told=st.sampled_from(HAPPENED))
    def write_event(self, day: Any, told: Payload) -> Payload:
        return {
            "type": "event", "id": str(uuid4()), "site_id": self.roof.pk,
            "started": self.moment(day), **told,
        }  # fmt: skip

    @rule(target=payloads, old=payloads, day=DAYS, other=st.sampled_from(CHECKS))
    def write_correction(self, old: Payload, day: Any, other: Payload) -> Any:
        new = {**old, "id": str(uuid4()), "supersedes": old["id"], "correction_reason": "wrong"}
        if "checks" not in old:
            return {**new, "started": self.moment(day)}
        return {**new, "checks": [{"fan": old["checks"][0]["fan"], **other}]}

    # ---- sending

    @rule(payload=payloads)
    def send(self, payload: Payload) -> None:
        self.take_in([self.sent(self.phone, payload)])

    @rule(payload=payloads)
    def send_another_under_its_id(self, payload: Payload) -> None:
        if payload["id"] in self.stored:
            other = {**payload, "note" if "started" in payload else "notes": "another"}
            assert self.sent(self.phone, other)[1] == 409

    @rule(queue=st.lists(payloads, max_size=6), bad=st.sampled_from(BAD), place=st.integers(0, 6))
    def send_queue(self, queue: list[Payload], bad: Any, place: int) -> None:
        records = [*queue[:place], bad, *queue[place:]]
        told = self.phone.post(BATCH, {"records": records}).json()["results"]
        assert told.pop(min(place, len(queue)))["status"] == 400
        self.take_in([(sent, each["status"]) for sent, each in zip(queue, told, strict=True)])

    @rule(one=st.lists(payloads, min_size=1, max_size=4), other=st.lists(payloads, min_size=1,
          max_size=4), as_queue=st.booleans())  # fmt: skip
    def send_at_once(self, one: list[Payload], other: list[Payload], as_queue: bool) -> None:
        queues = (one, other)

        def phone(queue: list[Payload]) -> Callable[[APIClient], Any]:
            def work(client: APIClient) -> list[Any]:
                if not as_queue:
                    return [self.sent(client, each) for each in queue]
                told = client.post(BATCH, {"records": queue}).json()["results"]
                return [(sent, each["status"]) for sent, each in zip(queue, told, strict=True)]

            return work

        if connection.vendor == "postgresql":
            told = at_once(self.person, [phone(queue) for queue in queues])
        else:  # it has one writer at a time anyway
            turns = [queue[n] for n in range(4) for queue in queues if n < len(queue)]
            told = [[self.sent(self.phone, each) for each in turns]]
        self.take_in([each for answers in told for each in answers])

    @staticmethod
    def sent(client: APIClient, payload: Payload) -> tuple[Payload, int]:
        address = EVENTS if "started" in payload else VISITS
        return payload, client.post(address, payload).status_code

    # ---- what must hold

    def take_in(self, answers: list[tuple[Payload, int]]) -> None:
        """Keep what was stored; nothing was stored twice, or refused without a reason."""
        before = set(self.stored)
        for sent, status in answers:
            if status == 201:
                assert sent["id"] not in self.stored
                self.stored[sent["id"]] = sent
        for sent, status in answers:
            if status == 201 and (old := sent.get("supersedes")):
                assert old in self.stored
                assert old not in self.replaced
                self.replaced.add(old)
        for sent, status in answers:
            old = sent.get("supersedes")
            if status == 200:
                assert self.stored[sent["id"]] == sent
            elif status != 201:
                # What it corrects was not there yet, or another had corrected it.
                assert (status, old not in before or old in self.replaced) == (400, old is not None)

    def teardown(self) -> None:
        if not hasattr(self, "roof"):
            return
        standing = [each for id_, each in self.stored.items() if id_ not in self.replaced]
        self.assert_kept_once()
        fans = list(self.roof.fans.order_by("tag"))
        told = answers_of(fans)
        reckon_fans(fan_ids=[fan.pk for fan in fans], now=NOW)
        assert answers_of(fans) == told
        assert told == self.replayed(standing)

    def assert_kept_once(self) -> None:
        rows = {
            str(pk)
            for model in (Visit, Event)
            for pk in model.objects.filter(site=self.roof).values_list("pk", flat=True)
        }
        assert rows == set(self.stored)

    def replayed(self, standing: list[Payload]) -> list[Any]:
        """The dates of a roof on which the same was logged once, in order, and nothing else."""
        roof = self.lay("replayed")
        for each in sorted(standing, key=lambda sent: sent.get("began_at") or sent["started"]):
            clean = {k: v for k, v in each.items() if k not in ("supersedes", "correction_reason")}
            told = self.sent(self.phone, clean | {"id": str(uuid4()), "site_id": roof.pk})
            assert told[1] == 201, told
        return answers_of(roof.fans.order_by("tag"))


@pytest.mark.django_db(transaction=True)
def test_phones_when_they_send_anything_in_any_order_then_the_record_is_as_kept_neatly(
    theo: Person,
) -> None:
    machine = type("TheosPhones", (Phones,), {"person": theo})
    run_state_machine_as_test(
        machine,
        settings=settings(
            max_examples=EXAMPLES, stateful_step_count=STEPS, deadline=None,
            suppress_health_check=list(HealthCheck), phases=[Phase.generate],
        ),
    )  # fmt: skip
