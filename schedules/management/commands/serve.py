"""Serve pages and run the timetable in one process, for one machine without extra servers."""

from __future__ import annotations

import signal
import threading
from argparse import ArgumentParser
from types import FrameType
from typing import Any

import waitress
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from config.wsgi import application
from schedules.demo.logins import demo_logins
from schedules.timetable import TimetableThread

LOOPBACK = ("127.0.0.1", "localhost", "::1")


class Command(BaseCommand):
    """One process for pages and timetable."""

    help = (
        "Serve pages and the API with waitress and run the timetable (reckoning) in the same "
        "process. Stops cleanly on Ctrl-C or SIGTERM, letting the job in hand finish."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--host", default="127.0.0.1", help="address to listen on (127.0.0.1)")
        parser.add_argument("--port", type=int, default=8000, help="port to listen on (8000)")
        parser.add_argument("--threads", type=int, default=8, help="request threads (8)")

    def handle(self, *args: Any, **options: Any) -> None:
        call_command("migrate", verbosity=0)
        host, port = options["host"], options["port"]
        self._tell_logins(host)
        try:
            server = waitress.create_server(
                application, host=host, port=port, threads=options["threads"]
            )
        except OSError as error:
            raise CommandError(
                f"Cannot listen on {host}:{port} ({error.strerror}). "
                "Stop what uses it, or give another --port."
            ) from error
        self.stdout.write(f"Roofround is at http://{host}:{port}/ (Ctrl-C stops it)")
        self.stdout.flush()
        self._run(server)

    def _run(self, server: Any) -> None:
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
        server.close()
        timetable.stop()
        server.task_dispatcher.shutdown()
        web.join(5)
        self.stdout.write("Stopped.")

    def _tell_logins(self, host: str) -> None:
        """Fresh demo passwords, shown once, and only where no stranger can reach the page."""
        if host not in LOOPBACK:
            return
        for login in demo_logins():
            self.stdout.write(f"  {login.role:<11} {login.username:<8} {login.password}")
