"""An install in a folder of its own, with the processes a test starts for it."""

from __future__ import annotations

import os
import shutil
import signal
import socket
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from celery import Celery

PATIENCE_S = 180.0


def wait_for(ask: Callable[[], Any]) -> Any:
    """The first answer that is not empty; fails after three minutes."""
    end_s = time.monotonic() + PATIENCE_S
    while not (answer := ask()):
        assert time.monotonic() < end_s, f"no answer from {ask}"
        time.sleep(0.05)
    return answer


def is_open(port: int) -> bool:
    """Whether something listens there."""
    with socket.socket() as probe:
        return probe.connect_ex(("127.0.0.1", port)) == 0


@contextmanager
def running(command: list[str], **where: Any) -> Iterator[None]:
    """The command as a process of its own, ended as an operator would end it."""
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, **where)
    try:
        yield
    finally:
        process.terminate()
        assert process.wait(PATIENCE_S) == 0


def free_port() -> int:
    """A port nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@dataclass
class Install:
    """An install in a folder of its own, with a Redis server where it has one."""

    root: Path
    folder: Path
    redis_url: str = ""
    log: Path = field(init=False)
    redis: subprocess.Popen[bytes] = field(init=False)

    def __post_init__(self) -> None:
        self.log = self.folder / "worker.log"

    @property
    def where(self) -> dict[str, Any]:
        """What its processes are told."""
        own = {"REDIS_URL": self.redis_url, "DATA_DIR": str(self.folder), "DATABASE_URL": ""}
        return {"cwd": self.root, "env": os.environ | own | {"LOG_FORMAT": "json"}}

    def manage(self, name: str, *words: str) -> subprocess.CompletedProcess[str]:
        """A command's whole run but for Django's checks, half of its work and tried elsewhere."""
        command = [sys.executable, "manage.py", name, "--skip-checks", *words]
        return subprocess.run(command, **self.where, capture_output=True, text=True, timeout=90)

    def sql(self, statement: str) -> list[tuple[Any, ...]]:
        """Ask or change its database, past everything of ours."""
        with closing(sqlite3.connect(self.folder / "roofround.sqlite3", PATIENCE_S)) as link, link:
            return link.execute(statement).fetchall()

    def jobs_left(self) -> list[str]:
        """Turns that have not ended, and ranges."""
        rows = self.sql("SELECT entry FROM schedules_job WHERE ended_at IS NULL OR last_fan > 0")
        return [entry for (entry,) in rows]

    def is_done(self) -> bool:
        """Whether the timetable was handed out, and all of it done."""
        return bool(self.sql("SELECT 1 FROM schedules_job")) and not self.jobs_left()

    def stale_fans(self) -> list[int]:
        """Fans not reckoned yet."""
        told = "SELECT fan_id FROM schedules_duestate WHERE reckoned_revision <> revision"
        return [fan for (fan,) in self.sql(told)]

    @contextmanager
    def worker(self, app: str = "config", processes: int = 1) -> Iterator[subprocess.Popen[bytes]]:
        """A worker, ended as an operator would end it, unless the test has killed it."""
        command = [sys.executable, "-m", "celery", "-A", app, "worker"]
        options = ["--concurrency", str(processes), "--without-gossip", "--without-mingle"]
        with self.log.open("ab") as log:
            process = subprocess.Popen(
                [*command, *options], **self.where, stdout=log, stderr=log, start_new_session=True
            )
        try:
            yield process
        finally:
            process.terminate()
            code = process.wait(PATIENCE_S)
            assert code in (0, -signal.SIGKILL), self.log.read_text()[-6000:]

    @contextmanager
    def serving_redis(self) -> Iterator[None]:
        """A Redis server that writes nothing to disk; its address is known from then on."""
        port = urlsplit(self.redis_url).port or free_port()
        command = [shutil.which("redis-server") or "", "--port", str(port), "--save", ""]
        self.redis = subprocess.Popen(
            [*command, "--bind", "127.0.0.1", "--dir", str(self.folder)], stdout=subprocess.DEVNULL
        )
        try:
            wait_for(lambda: is_open(port))
            self.redis_url = f"redis://127.0.0.1:{port}/0"
            yield
        finally:
            self.redis.kill()
            self.redis.wait(PATIENCE_S)

    def at_work(self, first_fan: int) -> int:
        """The process that has that range in hand, 0 where none has."""
        with Celery(broker=self.redis_url, set_as_current=False) as asking:
            told = asking.control.inspect(timeout=1.0, limit=1).active() or {}
        for task in (task for tasks in told.values() for task in tasks):
            if (task["args"][1] or [0])[0] == first_fan:
                return int(task["worker_pid"])
        return 0
