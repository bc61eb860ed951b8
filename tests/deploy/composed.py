"""docker-compose.yml read as an engine reads it, and its services put onto this machine.

No container engine runs where these tests do: what a service is told (command, environment,
secrets, health check) is taken from the file, and only names of places are changed.
"""

from __future__ import annotations

import os
import re
import secrets
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

ROOT = Path(__file__).resolve().parents[2]
TOLD = {
    "ALLOWED_HOSTS": "roofs.example",
    "MAIL_FROM": "Fan service <office@roofs.example>",
}
"""What an operator writes into .env."""

VARIABLE = re.compile(r"\$(?:\$|\{(\w+)(?::([-?])([^}]*))?\})")
PATIENCE_S = 180.0


def interpolated(text: str, told: Mapping[str, str]) -> str:
    """``${NAME:-default}``, ``${NAME:?why}`` and ``$$`` as the Compose specification has them."""

    def value(found: re.Match[str]) -> str:
        name, kind, rest = found.groups()
        if name is None:
            return "$"
        if not told.get(name) and kind == "?":
            raise KeyError(f"{name}: {rest}")
        return told.get(name) or (rest if kind == "-" else "")

    return VARIABLE.sub(value, text)


def read_compose(told: Mapping[str, str]) -> dict[str, Any]:
    """The file with its variables filled in, anchors and merges resolved."""

    def filled(node: Any) -> Any:
        if isinstance(node, dict):
            return {key: filled(value) for key, value in node.items()}
        if isinstance(node, list):
            return [filled(value) for value in node]
        return interpolated(node, told) if isinstance(node, str) else node

    text = (ROOT / "docker-compose.yml").read_text(encoding="utf-8")
    return dict(filled(yaml.safe_load(text)))


def seconds_in(duration: str) -> float:
    """``40s`` or ``5m`` as the Compose specification writes durations."""
    return float(duration[:-1]) * {"s": 1, "m": 60}[duration[-1]]


def free_port() -> int:
    """A port on which nobody listens."""
    with socket.create_server(("127.0.0.1", 0)) as bound:
        return int(bound.getsockname()[1])


def wait_for(ask: Callable[[], Any], what: str) -> Any:
    """The first answer that is not empty."""
    end_s = time.monotonic() + PATIENCE_S
    while not (answer := ask()):
        assert time.monotonic() < end_s, f"{what} did not come"
        time.sleep(0.1)
    return answer


@dataclass
class Machine:
    """This machine as the place of all services: ``folder`` for files, ``database`` an address."""

    folder: Path
    database: str
    password: str = ""

    def __post_init__(self) -> None:
        self.services = read_compose(TOLD)["services"]
        self.web_port, self.redis_port = free_port(), free_port()
        secret = {
            "secret_key": secrets.token_urlsafe(50),
            "database_password": self.password or secrets.token_urlsafe(12),
            "mail_url": "smtps://mail.roofs.example",
            "metrics_token": secrets.token_urlsafe(32),
        }
        for name in ("data", "tmp", "secrets"):
            (self.folder / name).mkdir()
        for name, text in secret.items():
            (self.folder / "secrets" / name).write_text(f"{text}\n")

    def here(self, text: str) -> str:
        """A word of the file with the container's places replaced by ours."""
        places = {
            "postgres://roofround@database:5432/roofround": self.database,
            "redis://redis:6379": f"redis://127.0.0.1:{self.redis_port}",
            "127.0.0.1:8000": f"127.0.0.1:{self.web_port}",
            "0.0.0.0": "127.0.0.1",
            "/run/secrets/": f"{self.folder}/secrets/",
        }
        whole = {
            "8000": str(self.web_port), "6379": str(self.redis_port),
            "/data": f"{self.folder}/data",
        }  # fmt: skip
        for there, ours in places.items():
            text = text.replace(there, ours)
        return whole.get(text, text)

    def environment(self, service: str) -> dict[str, str]:
        """All that the service's processes know; nothing of this machine but where programs are."""
        told = self.services[service].get("environment", {})
        path = f"{Path(sys.executable).parent}:{os.environ['PATH']}"
        around = {"PATH": path, "HOSTNAME": socket.gethostname(), "PYTHONWARNINGS": "default"}
        return around | {name: self.here(str(value)) for name, value in told.items()}

    def command(self, service: str) -> list[str]:
        return [self.here(word) for word in self.services[service]["command"]]

    def health(self, service: str) -> subprocess.CompletedProcess[str]:
        """Run the service's health check as the engine would."""
        kind, *words = self.services[service]["healthcheck"]["test"]
        words = ["sh", "-c", *words] if kind == "CMD-SHELL" else words
        return self.run(service, [self.here(word) for word in words])

    def run(self, service: str, words: list[str]) -> subprocess.CompletedProcess[str]:
        """Run something in the service's environment to its end."""
        return subprocess.run(
            words, cwd=ROOT, env=self.environment(service), capture_output=True, text=True,
            timeout=PATIENCE_S, check=False,
        )  # fmt: skip

    @contextmanager
    def started(self, service: str, *more: str) -> Iterator[Service]:
        """Start the service; in the end it is killed if nobody stopped it."""
        log = self.folder / f"{service}.log"
        with log.open("wb") as out:
            process = subprocess.Popen(
                [*self.command(service), *more], cwd=ROOT, env=self.environment(service),
                stdout=out, stderr=subprocess.STDOUT, start_new_session=True,
            )  # fmt: skip
        try:
            yield Service(self, service, process, log)
        finally:
            if process.poll() is None:
                os.killpg(process.pid, signal.SIGKILL)
                process.wait(PATIENCE_S)


@dataclass(frozen=True)
class Service:
    """A service that runs here."""

    machine: Machine
    name: str
    process: subprocess.Popen[bytes]
    log: Path

    def wait_until_well(self) -> None:
        """Wait for its health check to pass."""

        def well() -> bool:
            assert self.process.poll() is None, f"{self.name} ended: {self.log.read_text()}"
            return self.machine.health(self.name).returncode == 0

        wait_for(well, f"health of {self.name}")

    def stop(self) -> int:
        """Its exit code after SIGTERM, within the grace that the file gives."""
        grace = self.machine.services[self.name]["stop_grace_period"]
        self.process.terminate()
        return self.process.wait(min(seconds_in(grace), PATIENCE_S))
