"""The broker forgets everything and dies while workers work: every turn's work is done."""

from __future__ import annotations

import shutil
import socket
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from random import Random

import redis
from django.utils import timezone

from schedules.bench.filling import fill_sample
from schedules.jobs.timetable import ENTRIES
from schedules.models import DueState, Job, Notice
from schedules.proofs.comparing import compare_with_record
from schedules.proofs.mail import owe_notices
from schedules.proofs.mail_counting import count_mail
from schedules.proofs.processes import HAND, Crew, crew, wait_for
from schedules.proofs.rough_server import rough_server
from schedules.revisions import raise_revisions

Tell = Callable[[str], object]
SIZES = {"small": (60, 8.0), "full": (2_000, 90.0)}
"""Fans, and how long work comes in [s]."""
TIMETABLES, SPEED = 2, 100
"""At this speed a turn of sending comes every 1.2 s, one of reckoning every 6 s."""
PIECES_S = 0.25
NOTICES_A_PIECE, FANS_A_PIECE = 1, 5
DEAD_S = 1.5
MESSAGES, MESSAGES_WAIT_S = 2, 4.0
PATIENCE_S = 90.0


@dataclass(frozen=True)
class BrokerFigures:
    """What came in while Redis was emptied and killed, and what became of it."""

    fans: int
    touched: int
    notices: int
    arrived: int
    duplicates: int
    emptied: int
    killed: int
    messages_lost: int
    turns: dict[str, int]
    still_stale: int
    lost: int
    seconds: float
    complaints: tuple[str, ...]


@dataclass
class OwnRedis:
    """A Redis server that keeps nothing on disk: dead, it has forgotten all."""

    port: int
    folder: str
    emptied: int = 0
    killed: int = 0
    messages_lost: int = 0
    _process: subprocess.Popen[bytes] | None = None
    _link: redis.Redis = field(init=False)

    def __post_init__(self) -> None:
        self._link = redis.Redis(port=self.port)

    def start(self) -> None:
        """Start the server; comes back once it answers."""
        program = shutil.which("redis-server")
        if program is None:
            raise ValueError("redis-server is missing: apt-get install redis-server")
        self._process = subprocess.Popen(  # noqa: S603  # our own server
            [program, "--port", str(self.port), "--bind", "127.0.0.1", "--save", ""],
            cwd=self.folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        if not wait_for(self._answers, PATIENCE_S):
            raise ValueError(f"redis-server did not answer on port {self.port}")

    def _answers(self) -> bool:
        try:
            return bool(self._link.ping())
        except redis.RedisError:
            return False

    def forget(self) -> None:
        """Empty the server: messages waiting, and those in workers' hands, are lost."""
        self.messages_lost += self.messages()
        self._link.flushall()
        self.emptied += 1

    def die(self) -> None:
        """Kill the server, and start it again after ``DEAD_S``."""
        self.messages_lost += self.messages()
        self.stop()
        self.killed += 1
        time.sleep(DEAD_S)
        self.start()

    def stop(self) -> None:
        """Kill the server."""
        if self._process:
            self._process.kill()
            self._process.wait()

    def messages(self) -> int:
        """Waiting in Celery's queue, or taken and not done."""
        return int(self._link.llen("celery")) + int(self._link.hlen("unacked"))


@contextmanager
def own_redis() -> Iterator[OwnRedis]:
    """A Redis server on a free port, gone afterwards."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    with tempfile.TemporaryDirectory(prefix="redis-") as folder:
        server = OwnRedis(port, folder)
        server.start()
        try:
            yield server
        finally:
            server.stop()


def prove_broker(*, size: str, address: str, rng: Random, tell: Tell) -> BrokerFigures:
    """Have Celery workers do the timetable's work for the database Django points at."""
    fans, lasts_s = SIZES[size]
    tell(f"Inventing {fans} fans with all their records …")
    fan_ids, began, started = fill_sample(fans), timezone.now(), time.monotonic()
    tell(f"Work comes in for {lasts_s:.0f} s; Redis is emptied, killed, and emptied again …")
    hand = [*HAND, "wake", "--speed", str(SPEED), "--pause", "0.2"]
    worker = ["-m", "celery", "-A", "config", "worker", "--concurrency", "2", "--loglevel", "ERROR"]
    with own_redis() as server, rough_server(rng, whims={}) as (mail, _):
        about = {
            "DATABASE_URL": address,
            "REDIS_URL": f"redis://127.0.0.1:{server.port}/0",
            "MAIL_URL": f"smtp://127.0.0.1:{mail.port}",
        }
        with (
            crew(worker, 1, about) as workers,
            crew([*hand, "--since", began.isoformat()], TIMETABLES, about) as timetables,
        ):
            course = _Course(server, workers, lasts_s, fan_ids, rng, began)
            course.run()
            done = wait_for(_all_is_done, PATIENCE_S)
            died = workers.died() + timetables.died()
        counted = count_mail(course.owed, mail.taken)
    stale = DueState.objects.stale().count()
    compared = compare_with_record(fan_ids, began)
    complaints = [*counted.complaints(), *compared.complaints(), *_undone(done, stale, died)]
    if not server.messages_lost:
        complaints.append("No message was lost with Redis: nothing is proved.")
    return BrokerFigures(
        fans=fans, touched=course.touched, notices=counted.owed, arrived=counted.arrived,
        duplicates=counted.duplicates, emptied=server.emptied, killed=server.killed,
        messages_lost=server.messages_lost, turns=course.turns(), still_stale=stale,
        lost=compared.lost, seconds=round(time.monotonic() - started, 1),
        complaints=tuple(complaints),
    )  # fmt: skip


@dataclass
class _Course:
    """Work that comes in piece by piece, and what happens to Redis meanwhile."""

    server: OwnRedis
    workers: Crew
    lasts_s: float
    fan_ids: Sequence[int]
    rng: Random
    began: datetime
    owed: dict[str, str] = field(default_factory=dict)
    touched: int = 0
    seen: dict[str, set[str]] = field(default_factory=dict)

    def run(self) -> None:
        """Bring in work and lose messages, for ``lasts_s``."""
        if not wait_for(lambda: not _stale() and self._note_turns(), PATIENCE_S):
            raise ValueError(f"no worker reckoned anything within {PATIENCE_S:.0f} s")
        begin, pieces = time.monotonic(), 0
        blows = [self.server.forget, self.server.die, self.server.forget]
        while (passed := time.monotonic() - begin) < self.lasts_s:
            self._bring_work(pieces)
            pieces += 1
            self._note_turns()
            if blows and passed > self.lasts_s * (4 - len(blows)) / 4:
                self._lose_messages(blows.pop(0))
            time.sleep(PIECES_S)
        for blow in blows:
            self._lose_messages(blow)

    def _lose_messages(self, blow: Callable[[], None]) -> None:
        """While all workers hang, so that the timetables' messages wait, and are lost."""
        with self.workers.all_hung():
            wait_for(lambda: self.server.messages() >= MESSAGES, MESSAGES_WAIT_S)
            blow()

    def _bring_work(self, piece: int) -> None:
        self.owed |= owe_notices(NOTICES_A_PIECE, timezone.now(), f"{piece}")
        raise_revisions(self.rng.sample(list(self.fan_ids), FANS_A_PIECE))
        self.touched += FANS_A_PIECE

    def _note_turns(self) -> bool:
        taken = Job.objects.filter(last_fan=0).exclude(turn=None)
        for entry, turn in taken.values_list("entry", "turn"):
            self.seen.setdefault(entry, set()).add(str(turn))
        return bool(self.seen)

    def turns(self) -> dict[str, int]:
        """How many turns of each entry were seen taken up."""
        return {entry: len(turns) for entry, turns in sorted(self.seen.items())}


def _stale() -> bool:
    return DueState.objects.stale().exists()


def _all_is_done() -> bool:
    if _stale() or Notice.objects.filter(sent_at=None).exists():
        return False
    ended = Job.objects.filter(last_fan=0).exclude(ended_at=None)
    return set(ended.values_list("entry", flat=True)) == set(ENTRIES)


def _undone(done: bool, stale: int, died: int) -> Iterator[str]:
    if not done:
        unsent = Notice.objects.filter(sent_at=None).count()
        yield f"{unsent} notices and {stale} fans were still waiting after {PATIENCE_S:.0f} s."
        # else each was seen to end, and one may have begun its next turn since
        ended = Job.objects.exclude(ended_at=None).values_list("entry", flat=True)
        if never := ENTRIES.keys() - set(ended):
            yield f"never done: {', '.join(sorted(never))}."
    if died:
        yield f"{died} processes ended instead of going on."
    parked = Job.objects.parked().count()
    if parked:
        yield f"{parked} jobs are parked."
