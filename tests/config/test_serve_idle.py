"""Connections on which nothing comes keep nobody else out, bodies without end do not come in."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack
from http.client import HTTPConnection
from pathlib import Path

import pytest

HALF = b"POST /login/ HTTP/1.1\r\nHost: localhost\r\nContent-Length: 9\r\n\r\nuser"


def health(port: int, timeout_s: float) -> int:
    """The status of the health page, 0 where nobody answers in time."""
    link = HTTPConnection("127.0.0.1", port, timeout=timeout_s)
    try:
        link.request("GET", "/healthz")
        return link.getresponse().status
    except OSError:
        return 0
    finally:
        link.close()


@pytest.fixture(scope="module")
def port(
    root: Path, tmp_path_factory: pytest.TempPathFactory, empty_database: Path
) -> Iterator[int]:
    """Where a server of its own listens."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    kept = {k: v for k, v in os.environ.items() if k != "DATABASE_URL"}
    folder = tmp_path_factory.mktemp("served")
    shutil.copy(empty_database, folder)
    data = {"DATA_DIR": str(folder)}
    command = [sys.executable, "manage.py", "serve", "--port", str(port)]
    server = subprocess.Popen(command, cwd=root, env=kept | data, stdout=subprocess.DEVNULL)
    try:
        end = time.monotonic() + 90
        while health(port, 5) != 200 and time.monotonic() < end:
            time.sleep(0.2)
        yield port
    finally:
        server.terminate()
        server.wait(70)


def test_server_when_many_send_half_a_request_then_others_are_answered(port: int) -> None:
    with ExitStack() as open_ones:
        for _ in range(200):
            half = open_ones.enter_context(socket.create_connection(("127.0.0.1", port), 10))
            half.sendall(HALF)
        assert health(port, 10) == 200


def test_server_when_a_body_is_longer_than_any_file_taken_then_refused_before_it_comes(
    port: int,
) -> None:
    link = HTTPConnection("127.0.0.1", port, timeout=10)
    link.putrequest("POST", "/login/")
    link.putheader("Content-Length", "101000001")
    link.endheaders()
    assert link.getresponse().status == 413
