"""SQLite has one writer at a time: who only looks does not wait, who must is told to come back."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from config.collisions import PATIENCE_S
from config.settings import DATABASES

EXAMPLE = "fixtures/examples/fleet.csv"
ASK = """
import config.settings as settings
settings.DATABASES["default"]["OPTIONS"]["timeout"] = 0.2
import config.wsgi
from django.test import Client
person = {"username": "dana", "password": "no-such-word", "name": "roof phone"}
for path, kind in (("/login/", None), ("/api/v1/keys", "application/json")):
    options = {"content_type": kind} if kind else {}
    answer = Client(SERVER_NAME="localhost", raise_request_exception=False).post(
        path, person, **options
    )
    told = answer.headers.get("Retry-After"), answer.content.decode()[:900]
    print(path, answer.status_code, *told)
"""


def run(folder: Path, root: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """A process with its database in this folder."""
    kept = {k: v for k, v in os.environ.items() if k not in ("DATABASE_URL", "DATA_DIR")}
    return subprocess.run(
        [sys.executable, *words], cwd=root, env=kept | {"DATA_DIR": str(folder)},
        capture_output=True, text=True, timeout=120,
    )  # fmt: skip


@pytest.fixture(scope="module")
def held(tmp_path_factory: pytest.TempPathFactory, empty_database: Path) -> Iterator[Path]:
    """The folder of a database in which somebody writes all the while."""
    folder = tmp_path_factory.mktemp("held")
    shutil.copy(empty_database, folder)
    with closing(sqlite3.connect(folder / "roofround.sqlite3", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        yield folder


def test_dry_run_when_somebody_writes_then_it_does_not_wait(held: Path, root: Path) -> None:
    fleet = run(
        held,
        root,
        "manage.py",
        "import_fleet",
        "--dry-run",
        "--json",
        "fixtures/examples/fleet.csv",
    )
    assert (fleet.returncode, json.loads(fleet.stdout)["refused"]) == (0, False)
    # a name of bytes that are no UTF-8, as Linux allows
    visits = held / os.fsdecode(b"old\xff.jsonl")
    old = {"owner": "A", "site": "B", "kind": "service_call", "began_at": "2019-05-01"}
    visits.write_text(json.dumps(old))
    looked = run(held, root, "manage.py", "import_visits", "--dry-run", str(visits))
    assert ("locked" in looked.stderr, "Traceback" in looked.stderr) == (False, False)
    assert "owner" in looked.stdout


def test_writing_when_somebody_else_writes_then_told_to_come_back(held: Path, root: Path) -> None:
    page, api = run(held, root, "-c", ASK).stdout.split("\n/api", 1)
    assert page.startswith("/login/ 503 10 ")
    assert "Busy just now" in page
    assert api.startswith("/v1/keys 503 10 ")
    assert '"code":"busy"' in api


@pytest.mark.skipif("sqlite" not in DATABASES["default"]["ENGINE"], reason="asks SQLite's setting")
def test_patience_when_the_database_waited_its_whole_time_then_no_new_try() -> None:
    assert DATABASES["default"]["OPTIONS"]["timeout"] > PATIENCE_S
