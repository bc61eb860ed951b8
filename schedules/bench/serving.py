"""A server of the bench's own, a phone that posts to it, and reckonings that run beside."""

from __future__ import annotations

import http.client
import json
import os
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Any

from django.conf import settings
from django.db import connection

DEADLINE_S = 30
LONGEST_WAIT = """
    SELECT max(extract(epoch FROM clock_timestamp() - waitstart)) FROM pg_locks WHERE NOT granted
"""


class Client:
    """One connection kept open, as a phone's."""

    def __init__(self, port: int, key: str) -> None:
        self._link = http.client.HTTPConnection("127.0.0.1", port, timeout=DEADLINE_S)
        self._headers = {"Content-Type": "application/json", "Authorization": f"Token {key}"}

    def post(self, path: str, body: Mapping[str, Any], expected: int) -> float:
        """Seconds until the whole answer is there; ValueError for an answer not expected."""
        data = json.dumps(body)
        started = time.perf_counter()
        self._link.request("POST", path, data, self._headers)
        answer = self._link.getresponse()
        told = answer.read()
        taken = time.perf_counter() - started
        if answer.status != expected:
            raise ValueError(f"{path} answered {answer.status}: {told[:500].decode()}")
        return taken


BENCH = "schedules.bench.wsgi:application"
PRODUCT = "config.wsgi:application"


@contextmanager
def served(address: str, application: str = BENCH) -> Iterator[int]:
    """A server of its own over this database; gives its port."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
    words = [
        "-m",
        "waitress",
        f"--listen=127.0.0.1:{port}",
        "--threads=2",
        application,
    ]
    with _process(words, address):
        _wait_for(port)
        yield port


@contextmanager
def reckoning_beside(address: str) -> Iterator[list[float]]:
    """Whole reckonings, one after another, with what anybody waited for locks meanwhile [ms]."""
    words = ["-m", "django", "bench", "pass", "--again"]
    with _process(words, address), watched_locks() as waits:
        yield waits


@contextmanager
def watched_locks() -> Iterator[list[float]]:
    """How long the longest waiting for a lock of the database had waited, again and again [ms]."""
    waits: list[float] = []
    done = threading.Event()
    watch = threading.Thread(target=_watch_locks, args=(waits, done), daemon=True)
    watch.start()
    try:
        yield waits
    finally:
        done.set()
        watch.join()


def _watch_locks(waits: list[float], done: threading.Event) -> None:
    """Note every 5 ms how long the longest waiting for a lock has waited."""
    if connection.vendor != "postgresql":
        return
    try:
        while not done.wait(0.005):
            with connection.cursor() as cursor:
                cursor.execute(LONGEST_WAIT)
                if (waited := cursor.fetchone()[0]) is not None:
                    waits.append(float(waited) * 1000)
    finally:
        connection.close()


@contextmanager
def _process(words: Sequence[str], address: str) -> Iterator[None]:
    about = {"DATABASE_URL": address, "DJANGO_SETTINGS_MODULE": "config.settings"}
    with subprocess.Popen(  # noqa: S603  # our own programs
        [sys.executable, *words], env={**os.environ, **about}, cwd=settings.BASE_DIR,
        stdout=subprocess.DEVNULL,
    ) as process:  # fmt: skip
        try:
            yield
        finally:
            process.terminate()


def _wait_for(port: int) -> None:
    deadline = time.monotonic() + DEADLINE_S
    while time.monotonic() < deadline:
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.05)
    raise ValueError(f"no server came up on port {port} within {DEADLINE_S} s")
