"""Connections on which nothing comes keep nobody else out."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
from contextlib import ExitStack
from http.client import HTTPConnection
from pathlib import Path

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


def test_server_when_many_send_half_a_request_then_others_are_answered(
    root: Path, tmp_path: Path
) -> None:
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    kept = {k: v for k, v in os.environ.items() if k != "DATABASE_URL"}
    command = [sys.executable, "manage.py", "serve", "--port", str(port)]
    server = subprocess.Popen(
        command, cwd=root, env=kept | {"DATA_DIR": str(tmp_path)}, stdout=subprocess.DEVNULL
    )
    try:
        end = time.monotonic() + 90
        while health(port, 5) != 200 and time.monotonic() < end:
            time.sleep(0.2)
        with ExitStack() as open_ones:
            for _ in range(200):
                half = open_ones.enter_context(socket.create_connection(("127.0.0.1", port), 10))
                half.sendall(HALF)
            assert health(port, 10) == 200
    finally:
        server.terminate()
        server.wait(70)
