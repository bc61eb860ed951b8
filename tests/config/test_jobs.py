"""Jobs go to real Celery workers through a real Redis, and run in place without one."""

import os
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from celery import Celery

from schedules.tasks import reckon_changed_fans

JOB = "schedules.tasks.reckon_changed_fans"
PATIENCE_S = 60.0


def wait_for(ask: Callable[[], Any]) -> Any:
    """The first answer that is not empty; fails after a minute."""
    end_s = time.monotonic() + PATIENCE_S
    while not (answer := ask()):
        assert time.monotonic() < end_s, f"no answer from {ask}"
        time.sleep(0.1)
    return answer


@contextmanager
def running(command: list[str], **where: Any) -> Iterator[None]:
    """The command as a process of its own, ended as an operator would end it."""
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, **where)
    try:
        yield
    finally:
        process.terminate()
        assert process.wait(PATIENCE_S) == 0


def is_open(port: int) -> bool:
    """Whether something listens there."""
    with socket.socket() as probe:
        return probe.connect_ex(("127.0.0.1", port)) == 0


def count_jobs(sender: Celery) -> list[dict[str, int]]:
    """How often each worker did each job; empty while none was done."""
    stats = sender.control.inspect(timeout=1).stats() or {}
    return [worker["total"] for worker in stats.values() if worker["total"]]


@pytest.fixture
def redis_url(tmp_path: Path) -> Iterator[str]:
    """The address of a Redis server of this test alone, which writes nothing to disk."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    server = shutil.which("redis-server") or ""
    options = ["--port", str(port), "--bind", "127.0.0.1", "--save", "", "--dir", str(tmp_path)]
    with running([server, *options]):
        wait_for(lambda: is_open(port))
        yield f"redis://127.0.0.1:{port}/0"


@pytest.fixture
def worker_environment(redis_url: str, tmp_path: Path) -> dict[str, str]:
    """What a worker is told: this Redis, and a migrated database of its own."""
    own = {"REDIS_URL": redis_url, "DATA_DIR": str(tmp_path), "DATABASE_URL": ""}
    return os.environ | own


@pytest.mark.redis
def test_job_when_sent_through_redis_then_a_worker_does_it(
    root: Path, redis_url: str, worker_environment: dict[str, str]
) -> None:
    where = {"cwd": root, "env": worker_environment}
    subprocess.run([sys.executable, "manage.py", "migrate", "-v0"], check=True, **where)
    command = ["-m", "celery", "-A", "config", "worker", "--pool", "solo", "--loglevel", "ERROR"]
    with Celery(broker=redis_url) as sender, running([sys.executable, *command], **where):
        sender.send_task(JOB)
        assert wait_for(lambda: count_jobs(sender)) == [{JOB: 1}]


@pytest.mark.django_db
def test_job_when_no_redis_is_named_then_done_in_place() -> None:
    assert reckon_changed_fans.delay().get() == 0
