"""How long posting a visit takes, as ratios to a bare one-row insert posted in turn with it."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from statistics import quantiles
from typing import Any
from uuid import uuid4

from django.db import connection
from django.test import Client as InProcess
from django.test.utils import CaptureQueriesContext

from fleet.models import Fan, Person
from fleet.services.keys import give_key
from schedules.bench.filling import fill_sample
from schedules.bench.serving import Client, reckoning_beside, served
from schedules.due.reckoning import reckon_fleet
from schedules.models import DueState

Tell = Callable[[str], None]
READINGS = {
    "volts_ab": 231, "volts_bc": 229, "volts_ca": 230, "amps_a": 2.9, "amps_b": 3.0, "amps_c": 2.9,
    "hour_meter": 4210, "vibration_motor_radial": 2.1, "vibration_motor_axial": 1.4,
    "grease_hood": 300, "grease_duct": 400, "grease_housing": 350,
}  # fmt: skip
CONTEXT = {"vibration_detector": "rms", "vibration_meter": "overall"}
WARM_UP = 20
"""Rounds nobody counts: modules are imported, connections opened, statements prepared once."""


@dataclass(frozen=True)
class Spread:
    """Milliseconds at the median and far out."""

    p50_ms: float
    p95_ms: float
    p99_ms: float

    @staticmethod
    def of(seconds: Sequence[float]) -> Spread:
        cut = quantiles([each * 1000 for each in seconds], n=100)
        return Spread(cut[49], cut[94], cut[98])


@dataclass(frozen=True)
class PostFigures:
    """What one run found; ratios are to the bare insert of the same run, taken in turns.

    ``times_plain`` says how many times longer nested serializers take, ``replay_ratio`` what the
    same payload again takes of the first; ``lock_wait_ms`` is the longest that anybody waited for a
    lock while whole reckonings ran beside the posts (PostgreSQL), ``lost`` the fans whose dates
    were then not those of their record.
    """

    database: str
    posts: int
    statements: int
    bare: Spread
    ratio_p50: float
    ratio_p95: float
    ratio_p99: float
    replay_ratio: float
    times_plain: float
    beside_reckoning_ratio_p50: float
    beside_reckoning_p99_ms: float
    lock_wait_ms: float | None
    lost: int


def measure_posting(
    *, fans: int, posts: int, address: str, now: datetime, tell: Tell
) -> PostFigures:
    """Post visits to a server of its own over the database that Django points at."""
    tell(f"Inventing {fans} fans with all their records …")
    fan_ids = fill_sample(fans)
    _let_the_planner_know()
    person = Person.objects.create_user("bench", role=Person.Role.TECHNICIAN)
    _, key = give_key(person=person, name="bench")
    told = Payloads(fan_ids, now)
    statements = _statements(told, key)
    with served(address) as port:
        client = Client(port, key)
        _in_turn(client, told, WARM_UP)
        tell(f"Posting {posts} visits in turn with bare inserts …")
        taken = _in_turn(client, told, posts)
        tell("Posting while whole reckonings run …")
        with reckoning_beside(address) as waits:
            beside = _in_turn(client, told, max(100, posts // 4), plain=False)
    reckon_fleet(now=now)
    bare, visit = Spread.of(taken["bare"]), Spread.of(taken["visit"])
    return PostFigures(
        database=connection.vendor,
        posts=posts,
        statements=statements,
        bare=bare,
        ratio_p50=visit.p50_ms / bare.p50_ms,
        ratio_p95=visit.p95_ms / bare.p95_ms,
        ratio_p99=visit.p99_ms / bare.p99_ms,
        replay_ratio=Spread.of(taken["replay"]).p50_ms / visit.p50_ms,
        times_plain=Spread.of(taken["plain"]).p50_ms / visit.p50_ms,
        beside_reckoning_ratio_p50=Spread.of(beside["visit"]).p50_ms
        / Spread.of(beside["bare"]).p50_ms,
        beside_reckoning_p99_ms=Spread.of(beside["visit"]).p99_ms,
        lock_wait_ms=max(waits, default=0.0) if connection.vendor == "postgresql" else None,
        lost=_lost(now),
    )


def _let_the_planner_know() -> None:
    """Count what has just been filled in, as a database at work does by itself within a minute."""
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")


class Payloads:
    """Visits nobody has posted yet, fan after fan, day after day."""

    def __init__(self, fan_ids: Sequence[int], now: datetime) -> None:
        fans = Fan.objects.filter(pk__in=fan_ids).select_related("site__owner")
        self._fans = {
            fan.pk: (fan.pk, fan.tag, fan.site_id, fan.site.name, fan.site.owner.name)
            for fan in fans
        }
        self._ids, self._now, self._told = list(self._fans), now, 0

    def visit(self, fan_id: int | None = None) -> dict[str, Any]:
        """A payload as a phone sends it, of this fan or the next one."""
        fan_id = fan_id or self._ids[self._told % len(self._ids)]
        _, tag, _, site, owner = self._fans[fan_id]
        # A fan is seen once a day: many equal readings of one day are nobody's fleet.
        began = self._now - timedelta(days=200 - self._told // len(self._fans) % 200)
        self._told += 1
        return {
            "id": str(uuid4()), "kind": "walk_through", "owner": owner, "site": site,
            "began_at": began.isoformat(timespec="minutes"),
            "checks": [{"fan": tag, "readings": READINGS, "context": CONTEXT}],
        }  # fmt: skip

    def row(self) -> dict[str, Any]:
        """The columns of one visit."""
        return {
            "id": str(uuid4()), "kind": "walk_through", "site_id": self._fans[self._ids[0]][2],
            "began_at": self._now.isoformat(), "local_on": str(self._now.date()),
            "payload_sha256": "0" * 64,
        }  # fmt: skip

    def plain(self) -> dict[str, Any]:
        """The same visit by column and id."""
        fan_id, _, site_id, *_ = self._fans[self._ids[self._told % len(self._ids)]]
        self._told += 1
        columns = {
            f"{name}_v" if name.startswith("volts") else f"{name}_a": value
            for name, value in READINGS.items()
            if name.startswith(("volts", "amps"))
        }
        row = self.row()
        row["site"] = site_id
        del row["site_id"]
        check = {"fan": fan_id, "stage": "as_found", "began_at": row["began_at"], **columns}
        return {**row, "checks": [check]}  # fmt: skip


def _in_turn(
    client: Client, told: Payloads, posts: int, *, plain: bool = True
) -> dict[str, list[float]]:
    """Seconds of each kind of post, one of each at a time, so that noise hits them alike."""
    taken: dict[str, list[float]] = {"bare": [], "visit": [], "replay": [], "plain": []}
    for _ in range(posts):
        payload = told.visit()
        taken["bare"].append(client.post("/bench/bare", told.row(), 201))
        taken["visit"].append(client.post("/api/v1/visits", payload, 201))
        taken["replay"].append(client.post("/api/v1/visits", payload, 200))
        if plain:
            taken["plain"].append(client.post("/bench/plain", told.plain(), 201))
    return taken


def _statements(told: Payloads, key: str) -> int:
    """How many statements one post takes, once all is compiled, besides begin and commit."""
    phone = InProcess(headers={"Authorization": f"Token {key}"}, SERVER_NAME="localhost")
    for _ in range(2):
        with CaptureQueriesContext(connection) as asked:
            phone.post("/api/v1/visits", json.dumps(told.visit()), "application/json")
    return len([each for each in asked if each["sql"] not in ("BEGIN", "COMMIT")])


def _lost(now: datetime) -> int:
    """Fans whose stored dates are not those of their record."""
    before = dict(DueState.objects.values_list("fan_id", "dates"))
    reckon_fleet(now=now, only_stale=False, from_truth=True)
    after = dict(DueState.objects.values_list("fan_id", "dates"))
    return sum(before[fan_id] != dates for fan_id, dates in after.items())
