"""Installs of a test's own: with six fans nobody has reckoned, with a Redis server."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from tests.jobs.install import Install

FLEET = """
import django; django.setup()
from tests.schedules.fans import make_fan
for number in range(6):
    make_fan(f"EF-{number}")
"""
"""Six fans, numbered 1 to 6 in a fresh database."""


@pytest.fixture(scope="session")
def fleet_file(root: Path, tmp_path_factory: pytest.TempPathFactory, empty_database: Path) -> Path:
    """A database of six fans nobody has reckoned, to be copied."""
    folder = tmp_path_factory.mktemp("fleet")
    shutil.copy(empty_database, folder)
    told = {"DATA_DIR": str(folder), "DATABASE_URL": "", "REDIS_URL": ""}
    told["DJANGO_SETTINGS_MODULE"] = "config.settings"
    subprocess.run(
        [sys.executable, "-c", FLEET], cwd=root, env=os.environ | told, check=True, timeout=120
    )
    with closing(sqlite3.connect(folder / "roofround.sqlite3")) as link:
        link.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return folder / "roofround.sqlite3"


@pytest.fixture
def alone(root: Path, tmp_path: Path, fleet_file: Path) -> Install:
    """An install without workers."""
    shutil.copy(fleet_file, tmp_path / "roofround.sqlite3")
    return Install(root, tmp_path)


@pytest.fixture
def install(alone: Install) -> Iterator[Install]:
    """An install with a Redis server of its own, which writes nothing to disk."""
    with alone.serving_redis():
        yield alone
