"""What docker-compose.yml says, held against the specification and against our own rules."""

from __future__ import annotations

import re
import subprocess
import sys
from typing import Any

import pytest

from schedules.jobs.tasks import KILL_AFTER_S
from schedules.jobs.timetable import TIMETABLE
from tests.deploy.composed import ROOT, TOLD, interpolated, read_compose, seconds_in

SERVICES = ("database", "redis", "prepare", "web", "worker", "timetable")
PINNED = re.compile(r"[a-z]+:\d+\.\d+(\.\d+)?(-[a-z]+)*")


@pytest.fixture(scope="module")
def services() -> dict[str, Any]:
    """The services by their names."""
    return dict(read_compose(TOLD)["services"])


def test_compose_when_held_against_the_specification_then_valid() -> None:
    # the schema of the Compose specification as check-jsonschema carries it, fetched from nowhere
    command = [sys.executable, "-m", "check_jsonschema", "--builtin-schema", "vendor.compose-spec"]
    done = subprocess.run(
        [*command, "docker-compose.yml"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stdout.strip()) == (0, "ok -- validation done")


def test_compose_when_read_then_the_services_an_install_needs(services: dict[str, Any]) -> None:
    assert tuple(services) == SERVICES


@pytest.mark.parametrize("name", SERVICES)
def test_service_when_read_then_it_may_do_no_more_than_it_must(
    services: dict[str, Any], name: str
) -> None:
    service = services[name]
    user, _, group = service["user"].partition(":")
    assert int(user) > 0
    assert int(group) > 0
    assert service["read_only"] is True
    assert service["cap_drop"] == ["ALL"]
    assert service["security_opt"] == ["no-new-privileges:true"]
    assert not {"privileged", "cap_add", "network_mode", "pid"} & service.keys()


@pytest.mark.parametrize("name", SERVICES)
def test_service_when_read_then_bounded_pinned_and_given_time_to_end(
    services: dict[str, Any], name: str
) -> None:
    service = services[name]
    assert service["deploy"]["resources"]["limits"].keys() == {"cpus", "memory"}
    assert PINNED.fullmatch(service["image"])
    assert service["stop_grace_period"]
    once = name == "prepare"
    assert service["restart"] == ("no" if once else "unless-stopped")
    assert ("healthcheck" in service) is not once


def test_services_when_read_then_only_the_pages_are_published_and_only_here(
    services: dict[str, Any],
) -> None:
    published = {name: s["ports"] for name, s in services.items() if "ports" in s}
    assert published == {"web": ["127.0.0.1:8000:8000"]}


def test_services_when_read_then_no_secret_stands_in_an_environment(
    services: dict[str, Any],
) -> None:
    told = {(n, v) for s in services.values() for n, v in s.get("environment", {}).items()}
    secret = {(n, v) for n, v in told if re.search("PASSWORD|SECRET|MAIL_URL|TOKEN", n)}
    assert {v.startswith("/run/secrets/") for n, v in secret} == {True}
    assert [v for _, v in told if re.search(r"://[^@/]*:[^@/]*@", v)] == []


def test_services_when_read_then_each_secret_they_name_is_given_to_them(
    services: dict[str, Any],
) -> None:
    for service in services.values():
        told = service.get("environment", {}).values()
        named = {v.removeprefix("/run/secrets/") for v in told if v.startswith("/run/secrets/")}
        assert named == set(service.get("secrets", ()))


@pytest.mark.parametrize("name", ["web", "worker", "timetable"])
def test_service_when_started_then_after_migrating(services: dict[str, Any], name: str) -> None:
    waits = services[name]["depends_on"]
    assert waits["prepare"] == {"condition": "service_completed_successfully"}
    assert waits["database"] == waits["redis"] == {"condition": "service_healthy"}


def test_worker_when_told_to_end_then_given_the_time_of_the_longest_job(
    services: dict[str, Any],
) -> None:
    longest_s = max(entry.limit.total_seconds() for entry in TIMETABLE) + KILL_AFTER_S
    assert seconds_in(services["worker"]["stop_grace_period"]) > longest_s


@pytest.mark.parametrize("missing", list(TOLD))
def test_compose_when_the_operator_left_something_out_then_said(missing: str) -> None:
    told = {name: value for name, value in TOLD.items() if name != missing}
    with pytest.raises(KeyError, match=f"{missing}: .* such as "):
        read_compose(told)


def test_variables_when_read_then_as_the_specification_has_them() -> None:
    # Compose specification, "Interpolation"
    assert interpolated("${A:-x} ${B:-y} $$C ${A}", {"A": "1"}) == "1 y $C 1"
