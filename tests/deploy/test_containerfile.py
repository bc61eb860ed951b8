"""The container file: what it names exists, what it makes may do no more than it must."""

from __future__ import annotations

import re
import shlex
from fnmatch import fnmatch

import pytest

from tests.deploy.composed import ROOT, TOLD, read_compose

Step = tuple[str, str]


@pytest.fixture(scope="module")
def stages() -> list[list[Step]]:
    """Instructions with their words, a list for each stage."""
    text = (ROOT / "config" / "Containerfile").read_text(encoding="utf-8")
    lines = re.sub(r"\\\n", " ", re.sub(r"^#.*\n", "", text, flags=re.MULTILINE)).splitlines()
    found: list[list[Step]] = []
    for line in filter(None, lines):
        word, _, rest = line.partition(" ")
        if word == "FROM":
            found.append([])
        found[-1].append((word, rest.strip()))
    return found


def words(stage: list[Step], instruction: str) -> list[str]:
    """What stands behind each such instruction."""
    return [rest for word, rest in stage if word == instruction]


def is_sent(path: str) -> bool:
    """Whether .dockerignore lets the file into what an engine is sent; the last line that fits."""
    sent = True
    for line in (ROOT / ".dockerignore").read_text().splitlines():
        if not line or line.startswith("#"):
            continue
        pattern = line.removeprefix("!").removeprefix("**/")
        parts = ["/".join(path.split("/")[:n]) for n in range(1, path.count("/") + 2)]
        fits = any(fnmatch(part, pattern) for part in parts) or (
            "**/" in line and any(fnmatch(part, pattern) for part in path.split("/"))
        )
        sent = line.startswith("!") if fits else sent
    return sent


def test_image_when_built_then_from_pinned_ones(stages: list[list[Step]]) -> None:
    bases = [words(stage, "FROM")[0].split()[0] for stage in stages]
    assert len(bases) == 2
    assert [b for b in bases if not re.fullmatch(r"python:3\.\d+\.\d+-slim-[a-z]+", b)] == []


def test_image_when_built_then_all_it_copies_is_there_and_sent(stages: list[list[Step]]) -> None:
    copied = [shlex.split(rest) for stage in stages for rest in words(stage, "COPY")]
    sources = [s for c in copied if not c[0].startswith("--from=") for s in c[:-1]]
    assert {"config", "manage.py", "config/lock/hosts.txt"} <= set(sources)
    assert [s for s in sources if not ((ROOT / s).exists() and is_sent(s))] == []


def test_image_when_built_then_every_package_of_ours_is_in(stages: list[list[Step]]) -> None:
    copied = {shlex.split(rest)[0] for rest in words(stages[-1], "COPY")}
    packages = {path.parent.name for path in ROOT.glob("*/__init__.py")} - {"tests"}
    assert packages <= copied


@pytest.mark.parametrize(
    "path",
    [".git/config", ".data/secrets/secret_key", "tests/people.py", ".venv/bin/python",
     "fixtures/examples/fleet.csv", "fleet/__pycache__/urls.cpython-311.pyc"],
)  # fmt: skip
def test_image_when_built_then_nothing_else_is_sent(path: str) -> None:
    assert not is_sent(path)


def test_image_when_built_then_only_locked_wheels_come_in(stages: list[list[Step]]) -> None:
    (install,) = [rest for rest in words(stages[0], "RUN") if "pip install" in rest]
    assert {"--require-hashes", "--only-binary", ":all:", "/lock/hosts.txt"} <= set(install.split())
    assert [rest for rest in words(stages[-1], "RUN") if re.search("pip|apt", rest)] == []


def test_image_when_run_then_as_nobody_of_the_host_and_in_production(
    stages: list[list[Step]],
) -> None:
    services = read_compose(TOLD)["services"]
    assert words(stages[-1], "USER") == [services["web"]["user"]]
    (told,) = words(stages[-1], "ENV")
    assert {"PRODUCTION=true", "DATA_DIR=/data"} <= set(told.split())
    assert "install -d -o 10001 -g 10001 -m 0750 /data" in words(stages[-1], "RUN")
