"""Serve pages and run the timetable in one process, for one machine without extra servers."""

from __future__ import annotations

import signal
import socket
import threading
import time
from argparse import ArgumentParser, ArgumentTypeError
from pathlib import Path
from types import FrameType
from typing import Any

import waitress
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from config.env import read_text
from config.https import HttpsError, https_server, refuse_unusable
from config.slow_senders import drop_slow_senders
from config.wsgi import application
from fleet.models import Person
from schedules.demo.logins import demo_logins
from schedules.jobs.waking import TimetableThread

LOOPBACK = ("127.0.0.1", "localhost", "::1")
LONGEST_REQUEST_S, LONGEST_SENDING_S = 60, 5
CONNECTIONS = {
    "connection_limit": 500, "channel_timeout": 30, "cleanup_interval": 10,
    "max_request_body_size": 101_000_000,
}  # fmt: skip
"""Many may be open, and one on which nothing comes or goes for so long [s] is closed.

A body waits on the disk before anybody is asked who sent it: none is longer than the largest file
of old visits that is taken, and a form around it.
"""
PROXIED = {
    "trusted_proxy": "*", "trusted_proxy_headers": {"x-forwarded-for", "x-forwarded-proto"},
}  # fmt: skip
"""Waitress strips what proxies tell, unless told whose word counts: our one proxy, wherever."""


def port(text: str) -> int:
    """A port number; waitress would take 99999 modulo 65536."""
    return _between(text, 1, 65_535)


def threads(text: str) -> int:
    """At least one thread, else no request is ever answered."""
    return _between(text, 1, 1_000)


def _between(text: str, low: int, high: int) -> int:
    if not text.isdecimal() or not low <= int(text) <= high:
        raise ArgumentTypeError(f"{text!r} is no number from {low} to {high}")
    return int(text)


def public_url(host: str, port: int, scheme: str = "http") -> str:
    """Where links in emails lead: as set, else where this process listens."""
    if settings.PRODUCTION or read_text("PUBLIC_URL"):
        return settings.PUBLIC_URL
    return f"{scheme}://[{host}]:{port}" if ":" in host else f"{scheme}://{host}:{port}"


def _family(host: str) -> socket.AddressFamily:
    return socket.AF_INET6 if ":" in host else socket.AF_INET


def _cannot_listen(host: str, port: int, error: OSError) -> str:
    return (
        f"Cannot listen on {host}:{port} ({error.strerror}). "
        "Stop what uses it, or give another --port."
    )


def wait_until_sent(channels: dict[int, Any]) -> None:
    """Wait until no connection has anything left to send, at most some seconds."""
    end = time.monotonic() + LONGEST_SENDING_S
    while time.monotonic() < end:
        if not any(getattr(each, "total_outbufs_len", 0) for each in list(channels.values())):
            return
        time.sleep(0.05)


class Command(BaseCommand):
    """One process for pages and timetable."""

    help = (
        "Serve pages and the API with waitress and run the timetable (reckoning) in the same "
        "process. Stops cleanly on Ctrl-C or SIGTERM, letting the job in hand finish."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--host", default="127.0.0.1", help="address to listen on (127.0.0.1)")
        parser.add_argument("--port", type=port, default=8000, help="port to listen on (8000)")
        parser.add_argument("--threads", type=threads, default=8, help="request threads (8)")
        parser.add_argument(
            "--certificate", type=Path, metavar="FILE",
            help="serve HTTPS, which phones demand to work without signal: the certificate with "
            "its chain (PEM); granian must be installed (config/lock/hosts.txt)",
        )  # fmt: skip
        parser.add_argument("--key", type=Path, metavar="FILE", help="the certificate's key (PEM)")

    def handle(self, *args: Any, **options: Any) -> None:
        call_command("migrate", verbosity=0)
        if options["certificate"] or options["key"]:
            self._serve_https(**options)
        else:
            self._serve_http(options["host"], options["port"], options["threads"])

    def _serve_https(
        self, *, host: str, port: int, threads: int, certificate: Path | None, key: Path | None,
        **_: Any,
    ) -> None:  # fmt: skip
        if certificate is None or key is None:
            raise CommandError("HTTPS takes both, --certificate FILE and --key FILE.")
        settings.PUBLIC_URL = public_url(host, port, "https")
        try:
            refuse_unusable(certificate, key)
            with socket.create_server((host, port), family=_family(host)):
                pass  # whatever listens there already is told of now, not by a process of granian's
        except HttpsError as error:
            raise CommandError(str(error)) from error
        except OSError as error:
            raise CommandError(_cannot_listen(host, port, error)) from error
        server = https_server(
            host=host, port=port, threads=threads, certificate=certificate, key=key,
            public_url=settings.PUBLIC_URL,
        )  # fmt: skip
        self._tell_start(host, f"https://{host}:{port}/")
        timetable = TimetableThread()
        timetable.start()
        server.serve()
        self.stdout.write("Stopping: finishing what is in hand.")
        timetable.stop()
        self.stdout.write("Stopped.")

    def _serve_http(self, host: str, port: int, threads: int) -> None:
        channels: dict[int, Any] = {}
        try:
            server = waitress.create_server(
                application, map=channels, host=host, port=port, threads=threads,
                **CONNECTIONS,
                **(PROXIED if settings.BEHIND_PROXY else {}),
            )  # fmt: skip
        except OSError as error:
            raise CommandError(_cannot_listen(host, port, error)) from error
        except ValueError as error:
            raise CommandError(
                f"Cannot listen on {host!r}; --host takes an address of this machine."
            ) from error
        drop_slow_senders(channels)
        settings.PUBLIC_URL = public_url(host, port)
        self._tell_start(host, f"http://{host}:{port}/")
        self._run(server, channels)

    def _tell_start(self, host: str, address: str) -> None:
        # Only now: a second start that fails must not change the first one's passwords.
        self._tell_logins(host)
        self.stdout.write(f"Roofround is at {address} (Ctrl-C stops it)")
        self.stdout.flush()

    def _run(self, server: Any, channels: dict[int, Any]) -> None:
        timetable = TimetableThread()
        timetable.start()
        stop = threading.Event()

        def on_signal(number: int, frame: FrameType | None) -> None:
            stop.set()

        for number in (signal.SIGINT, signal.SIGTERM):
            signal.signal(number, on_signal)
        web = threading.Thread(target=server.run, name="web", daemon=True)
        web.start()
        stop.wait()
        self.stdout.write("Stopping: finishing what is in hand.")
        timetable.stop()
        # The web thread goes on meanwhile: it sends what the last requests answer.
        server.task_dispatcher.shutdown(timeout=LONGEST_REQUEST_S)
        wait_until_sent(channels)
        self.stdout.write("Stopped.")

    def _tell_logins(self, host: str) -> None:
        """Fresh demo passwords, shown once, and only where no stranger can reach the page."""
        if host not in LOOPBACK:
            return
        logins = demo_logins()
        if logins:
            self.stdout.write("Sign in as one of the demo's people, with passwords of this run:")
        elif not Person.objects.exists():
            self.stdout.write("Nobody can sign in yet; make a login with createsuperuser.")
        for login in logins:
            self.stdout.write(f"  {login.role:<11} {login.username:<8} {login.password}")
