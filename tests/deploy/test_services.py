"""Every service of docker-compose.yml run by hand, on a real PostgreSQL and a Redis of its own."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import ExitStack
from http.client import HTTPConnection
from pathlib import Path

import pytest
from django.conf import settings

from tests.deploy.composed import Machine, wait_for
from tests.installs import fresh_postgres

RUNNING = ("web", "worker", "timetable")


@pytest.fixture
def machine(tmp_path: Path) -> Iterator[Machine]:
    """An empty database on the server that the tests use, a Redis, nothing started yet."""
    password = settings.DATABASES["default"]["PASSWORD"]
    with fresh_postgres() as address, ExitStack() as stack:
        machine = Machine(tmp_path, address, password)
        own = ["--port", str(machine.redis_port), "--bind", "127.0.0.1"]
        redis = stack.enter_context(machine.started("redis", *own, "--dir", str(tmp_path / "tmp")))
        redis.wait_until_well()
        yield machine
        assert redis.stop() == 0


@pytest.mark.postgres
@pytest.mark.redis
def test_services_when_run_by_hand_then_each_is_well_works_and_ends_when_told(
    machine: Machine,
) -> None:
    """One test, for what it starts takes longer than all it asks."""
    assert database_health(machine) == 0
    prepared = machine.run("prepare", machine.command("prepare"))
    assert prepared.returncode == 0, prepared.stderr
    with ExitStack() as stack:
        running = [stack.enter_context(machine.started(name)) for name in RUNNING]
        for service in running:
            service.wait_until_well()
        assert deploy_check(machine) == (0, "")
        pages_are_given_by_https_only(machine)
        assert wait_for(lambda: jobs_done(machine), "a job")
        for service in running:
            service.process.terminate()
        assert {service.name: service.stop() for service in running} == dict.fromkeys(RUNNING, 0)


def database_health(machine: Machine) -> int:
    """Exit code of the database's health check; the tests' server may have another address."""
    told = settings.DATABASES["default"]
    _, *words = machine.services["database"]["healthcheck"]["test"]
    ours = {"--host=127.0.0.1": f"--host={told['HOST'] or '127.0.0.1'}"}
    command = [ours.get(word, word) for word in words] + [f"--port={told['PORT'] or 5432}"]
    return machine.run("database", command).returncode


def deploy_check(machine: Machine) -> tuple[int, str]:
    """Exit code and complaints of Django's deployment check under the environment of web."""
    check = ["python", "manage.py", "check", "--deploy", "--fail-level", "WARNING"]
    done = machine.run("web", check)
    return done.returncode, done.stderr


def pages_are_given_by_https_only(machine: Machine) -> None:
    """Ask as a proxy on this host would, and as somebody who goes round it."""
    proxied = {"X-Forwarded-Proto": "https"}
    kept = json.loads((machine.folder / "data/static/staticfiles.json").read_text())
    sheet = kept["paths"]["roofround.css"]
    assert ask(machine, "/healthz") == (200, "")
    assert ask(machine, "/login/") == (301, "https://roofs.example/login/")
    assert ask(machine, "/login/", **proxied) == (200, "")
    assert ask(machine, f"/static/{sheet}", **proxied) == (200, "")
    assert ask(machine, "/login/", Host="elsewhere.example", **proxied) == (400, "")
    token = (machine.folder / "secrets" / "metrics_token").read_text().strip()
    assert ask(machine, "/metrics", Authorization=f"Bearer {token}") == (200, "")
    assert ask(machine, "/metrics") == (401, "")


def ask(machine: Machine, path: str, **headers: str) -> tuple[int, str]:
    """Status and Location of the answer."""
    link = HTTPConnection("127.0.0.1", machine.web_port, timeout=10)
    link.request("GET", path, headers={"Host": "roofs.example"} | headers)
    answer = link.getresponse()
    link.close()
    return answer.status, answer.headers.get("Location", "")


def jobs_done(machine: Machine) -> dict[str, int]:
    """How often the worker did each job that the timetable handed out."""
    stats = ["python", "-m", "celery", "-A", "config", "inspect", "stats", "--json"]
    told = json.loads(machine.run("worker", stats).stdout or "{}")
    return {job: count for worker in told.values() for job, count in worker["total"].items()}
