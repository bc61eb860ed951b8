"""A link between a phone and the site that drops, delays nothing, lies about time, or is down."""

from __future__ import annotations

import http.client
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from email.utils import formatdate
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from itertools import count
from threading import Condition, Lock, Thread
from time import time
from urllib.parse import urlsplit

FILES: dict[str, tuple[int, list[tuple[str, str]], bytes]] = {}
"""The page's files, the same for all tests: asked of a site once."""
HOP = {"connection", "keep-alive", "transfer-encoding", "server"}


@dataclass
class Link:
    """What becomes of each request; ``posts`` are the paths of those that reached the site."""

    port: int = 0
    is_down: bool = False
    drop_each: int = 0
    """Of requests that change something, each so many-th is lost: its answer and itself by turns.
    """
    answers: dict[str, int] = field(default_factory=dict)
    rewrite: Callable[[str, bytes], bytes] = lambda path, body: body
    clock_shift_s: float = 0.0
    posts: list[str] = field(default_factory=list)
    dropped: int = 0
    _number: Iterator[int] = field(default_factory=lambda: count(1))
    _lock: Lock = field(default_factory=Lock)
    _asking: int = 0
    _answered: Condition = field(default_factory=Condition)

    @property
    def address(self) -> str:
        return f"http://localhost:{self.port}"

    def fate(self, method: str) -> str:
        """``carried``, ``lost`` before the site hears of it, or ``unanswered``."""
        if self.is_down:
            return "lost"
        with self._lock:
            number = next(self._number) if self.drop_each and method == "POST" else 0
        if not number or number % self.drop_each:
            return "carried"
        self.dropped += 1
        return "lost" if number // self.drop_each % 2 else "unanswered"

    @contextmanager
    def asking(self) -> Iterator[None]:
        """While the site works on a request."""
        with self._answered:
            self._asking += 1
        try:
            yield
        finally:
            with self._answered:
                self._asking -= 1
                self._answered.notify_all()

    def wait_until_answered(self) -> None:
        """What a page still asked as its test ended is done with before the tables are emptied."""
        with self._answered:
            assert self._answered.wait_for(lambda: not self._asking, timeout=30)


@contextmanager
def linked(site: str) -> Iterator[Link]:
    """A link to the site, on a port of its own."""
    link = Link()
    server = ThreadingHTTPServer(("127.0.0.1", 0), _handler(link, urlsplit(site).netloc))
    server.daemon_threads = True
    link.port = server.server_address[1]
    Thread(target=server.serve_forever, args=(0.05,), daemon=True).start()
    yield link
    server.shutdown()
    server.server_close()
    link.wait_until_answered()


def _handler(link: Link, site: str) -> type[BaseHTTPRequestHandler]:
    class Carrier(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def do_GET(self) -> None:
            body = self.rfile.read(int(self.headers.get("Content-Length") or 0))
            fate, path = link.fate(self.command), urlsplit(self.path).path
            if fate == "lost":
                return self._hang_up()
            if path in link.answers:
                return self._say(link.answers[path], [], b"{}")
            status, headers, told = self._file(path) or self._asked(body)
            if self.command == "POST":
                link.posts.append(path)
            return self._hang_up() if fate == "unanswered" else self._say(status, headers, told)

        do_POST = do_GET  # noqa: N815  # as http.server wants them

        def _file(self, path: str) -> tuple[int, list[tuple[str, str]], bytes] | None:
            if not path.startswith("/static/"):
                return None
            if path not in FILES:
                FILES[path] = self._asked(b"")
            return FILES[path]

        def _asked(self, body: bytes) -> tuple[int, list[tuple[str, str]], bytes]:
            asked = http.client.HTTPConnection(site, timeout=30)
            with link.asking():
                asked.request(self.command, self.path, body or None, self._headers())
                answer = asked.getresponse()
                told = link.rewrite(urlsplit(self.path).path, answer.read())
            asked.close()
            return answer.status, answer.getheaders(), told

        def _headers(self) -> dict[str, str]:
            """As asked, but never for what changed only: others have no copy yet."""
            told = self.headers.items()
            return {name: value for name, value in told if not name.startswith("If-")}

        def _say(self, status: int, headers: list[tuple[str, str]], told: bytes) -> None:
            self.send_response_only(status)
            for name, value in headers:
                if name.lower() not in HOP | {"date", "content-length"}:
                    self.send_header(name, value)
            self.send_header("Date", formatdate(time() + link.clock_shift_s, usegmt=True))
            self.send_header("Content-Length", str(len(told)))
            self.end_headers()
            self.wfile.write(told)

        def handle(self) -> None:
            with suppress(ConnectionError):  # a page that was left does not wait for answers
                super().handle()

        def _hang_up(self) -> None:
            self.close_connection = True

        def log_message(self, format: str, *args: object) -> None:
            """Nothing: what matters is counted."""

    return Carrier
