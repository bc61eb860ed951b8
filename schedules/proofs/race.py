"""No visit's dates are lost to workers who reckon the fleet while it is posted."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import datetime
from random import Random

from django.db import connection
from django.utils import timezone

from config.collisions import in_one_transaction
from fleet.models import Fan, Machine, Person
from fleet.services.keys import give_key
from schedules.bench.filling import fill_sample, fill_up
from schedules.bench.posting import Payloads
from schedules.bench.serving import PRODUCT, Client, served, watched_locks
from schedules.demo.records import walk
from schedules.due.reckoning import reckon_fleet
from schedules.models import DueChange, DueState
from schedules.proofs.comparing import Compared, compare_with_record
from schedules.proofs.processes import HAND, crew, wait_for
from schedules.revisions import raise_revisions
from visits.models import Visit

Tell = Callable[[str], object]
SIZES = {"small": (160, 300, 60), "full": (2_000, 100_000, 2_000)}
"""Fans with all their records, fans in all, visits posted."""
WORKERS, PHONES = 2, 2
WORKERS_START_S = 60
TOUCHED = 20
"""Fans edited in the register with each visit, among them the one to be visited."""
DEADLOCKS = "SELECT deadlocks FROM pg_stat_database WHERE datname = current_database()"


@dataclass(frozen=True)
class RaceFigures:
    """What visits posted beside two reckoning workers came to.

    ``compared`` fans were reckoned anew from all that is on record, ``lost`` of them had other
    dates stored; ``moved`` visited fans have new dates by now.  ``deadlocks`` and ``lock_wait_ms``
    are PostgreSQL's.
    """

    database: str
    fans: int
    posts: int
    moved: int
    compared: int
    lost: int
    deadlocks: int | None
    lock_wait_ms: float | None
    post_p50_ms: float
    post_worst_ms: float
    seconds: float
    complaints: tuple[str, ...]


def prove_race(*, size: str, address: str, rng: Random, tell: Tell) -> RaceFigures:
    """Post visits over HTTP to the database Django points at while workers reckon it."""
    recorded, fans, posts = SIZES[size]
    tell(f"Inventing {fans} fans, {recorded} of them with all their records …")
    sample = fill_sample(recorded)
    fill_up(fans)
    now = timezone.now()
    reckon_fleet(now=now, only_stale=False)
    everyone = list(Fan.objects.order_by("pk").values_list("pk", flat=True))
    visited = rng.sample(everyone, posts)
    before = Visit.objects.count()
    tell(f"{posts} visits posted while {WORKERS} workers reckon the fleet …")
    started = time.monotonic()
    with (
        served(address, PRODUCT) as port,
        crew(
            [*HAND, "reckon", "--pause", "0"],
            WORKERS,
            {"DATABASE_URL": address},
        ),
        watched_locks() as waits,
    ):
        _wait_for_workers(visited)
        taken = _post_all(visited, port, rng, now)
    seconds = time.monotonic() - started
    compared = compare_with_record(sorted({*sample, *visited}), now)
    changes = DueChange.objects.filter(fan__in=visited, changed_at__gte=now)
    moved, deadlocks = changes.values("fan").distinct().count(), _deadlocks()
    stored = Visit.objects.count() - before
    return RaceFigures(
        database=connection.vendor,
        fans=len(everyone),
        posts=len(taken),
        moved=moved,
        compared=compared.fans,
        lost=compared.lost,
        deadlocks=deadlocks,
        lock_wait_ms=round(max(waits, default=0.0), 1) if _is_postgres() else None,
        post_p50_ms=round(sorted(taken)[len(taken) // 2] * 1000, 1),
        post_worst_ms=round(max(taken) * 1000, 1),
        seconds=round(seconds, 1),
        complaints=tuple(_complaints(compared, moved, deadlocks, stored, posts)),
    )


def _wait_for_workers(fan_ids: Sequence[int]) -> None:
    """Until somebody reckons: a race that begins before the others are there proves nothing."""
    raise_revisions(sorted(fan_ids))
    if not wait_for(lambda: not DueState.objects.stale().exists(), WORKERS_START_S):
        raise ValueError(f"no worker reckoned anything within {WORKERS_START_S} s")


def _post_all(visited: Sequence[int], port: int, rng: Random, now: datetime) -> list[float]:
    """Seconds of every post; the fan to be visited and some later ones are edited just before."""
    person = Person.objects.create_user("prover", role=Person.Role.TECHNICIAN)
    _, key = give_key(person=person, name="prover")
    lock, taken = threading.Lock(), []
    driven = Machine.objects.filter(fan__in=visited, removed_on=None, drive="belt")
    belts = set(driven.values_list("fan", flat=True))
    # A deadlock is counted, not died of.
    touch = in_one_transaction(raise_revisions)

    def phone(number: int) -> list[float]:
        mine = visited[number::PHONES]
        client, told = Client(port, key), Payloads(mine, now)
        seconds = []
        try:
            for at, fan_id in enumerate(mine):
                # None that was visited already: its next reckoning would mend what was lost.
                later = mine[at + 1 :]
                with lock:  # one generator draws for all
                    touched = {fan_id, *rng.sample(later, min(TOUCHED, len(later)))}
                touch(sorted(touched))
                visit = told.visit(fan_id)
                look = walk(visit["checks"][0]["fan"], belt=fan_id in belts, felt="")
                visit["checks"][0]["seen"] = look["seen"]
                seconds.append(client.post("/api/v1/visits", visit, 201))
        finally:
            connection.close()
        return seconds

    with ThreadPoolExecutor(PHONES) as pool:
        for each in pool.map(phone, range(PHONES)):
            taken += each
    return taken


def _is_postgres() -> bool:
    return connection.vendor == "postgresql"


def _deadlocks() -> int | None:
    if not _is_postgres():
        return None
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_stat_clear_snapshot()")
        cursor.execute(DEADLOCKS)
        return int(cursor.fetchone()[0])


def _complaints(
    compared: Compared, moved: int, deadlocks: int | None, stored: int, posts: int
) -> list[str]:
    complaints = compared.complaints()
    if deadlocks:
        complaints.append(f"{deadlocks} deadlocks.")
    if stored != posts:
        complaints.append(f"{posts} visits were posted and {stored} are on record.")
    if moved < posts // 2:
        complaints.append(f"Only {moved} of {posts} visits moved a date: nothing is proved.")
    return complaints
