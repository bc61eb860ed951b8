"""Whoever sends a request drop by drop keeps its place no longer than one who sends nothing."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, suppress
from typing import Any

import pytest
import waitress

from config.slow_senders import LEAST_BYTES_S, drop_slow_senders

PLACES = 6
HEAD = b"POST / HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\nContent-Length: %d\r\n\r\n"


def told(environ: dict[str, Any], start: Any) -> list[bytes]:
    """The length of the body that came."""
    start("200 OK", [("Content-Type", "text/plain")])
    return [str(len(environ["wsgi.input"].read())).encode()]


@pytest.fixture
def port() -> Iterator[int]:
    """Where waitress itself listens, with few places and one second of patience."""
    channels: dict[int, Any] = {}
    server = waitress.create_server(
        told, map=channels, host="127.0.0.1", port=0, threads=2, channel_timeout=1,
        cleanup_interval=1, connection_limit=PLACES,
    )  # fmt: skip
    drop_slow_senders(channels)
    threading.Thread(target=server.run, daemon=True).start()
    yield server.effective_port
    server.close()


def connect(port: int) -> socket.socket:
    return socket.create_connection(("127.0.0.1", port), timeout=6)


def answer(link: socket.socket) -> bytes:
    """All that is sent back until the other side closes; empty where it just closes."""
    try:
        return b"".join(iter(lambda: link.recv(4096), b""))
    except ConnectionError:
        return b""


def test_server_when_drops_of_requests_hold_all_places_then_others_are_answered(port: int) -> None:
    """500 that sent a byte now and then shut everybody else out for as long as they liked."""
    ended = threading.Event()
    with ExitStack() as opened:
        slow = [opened.enter_context(connect(port)) for _ in range(PLACES)]
        opened.callback(ended.set)
        for link in slow:
            link.sendall(HEAD % 9_000)
        threading.Thread(target=_drip, args=(slow, ended), daemon=True).start()
        time.sleep(0.3)
        link = opened.enter_context(connect(port))
        link.sendall(HEAD % 4 + b"fast")
        assert answer(link).endswith(b"4")


def _drip(links: list[socket.socket], ended: threading.Event) -> None:
    while not ended.wait(0.2):
        for link in links:
            with suppress(OSError):  # that one was dropped
                link.sendall(b"x")


def test_body_when_it_comes_slowly_yet_fast_enough_then_taken_however_long_it_takes(
    port: int,
) -> None:
    """A photo over a weak signal takes longer than the second that silence is borne for."""
    parts = 16
    with connect(port) as link:
        link.sendall(HEAD % (parts * LEAST_BYTES_S // 2))
        for _ in range(parts):
            link.sendall(b"x" * (LEAST_BYTES_S // 2))
            time.sleep(0.25)
        assert answer(link).endswith(str(parts * LEAST_BYTES_S // 2).encode())
