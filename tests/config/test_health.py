"""Readiness: a process whose tables are missing or may not be written to is sent nobody."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import psycopg
import pytest
from django.db import connection
from django.test import Client

ASK = """
import config.wsgi
from django.test import Client
for path in ("/healthz", "/readyz"):
    answer = Client(SERVER_NAME="localhost").get(path)
    print(answer.status_code, answer.content.decode().strip())
"""


def ask(root: Path, url: str) -> list[str]:
    """What an install with that database says of itself."""
    own = {"DATABASE_URL": url, "REDIS_URL": "redis://127.0.0.1:1/0"}
    done = subprocess.run(
        [sys.executable, "-c", ASK], cwd=root, env=os.environ | own, capture_output=True, text=True
    )
    return done.stdout.splitlines()


@pytest.fixture(scope="module")
def migrated(tmp_path_factory: pytest.TempPathFactory, empty_database: Path) -> Path:
    """A database file with all its tables."""
    return Path(shutil.copy(empty_database, tmp_path_factory.mktemp("ready")))


@pytest.mark.django_db
def test_ready_when_tables_are_there_then_ok(client: Client) -> None:
    answer = client.get("/readyz")
    assert (answer.status_code, answer.content) == (200, b"ok\n")


def test_ready_when_migrations_are_missing_then_alive_but_not_ready(
    root: Path, tmp_path: Path
) -> None:
    assert ask(root, f"sqlite:///{tmp_path / 'empty.sqlite3'}") == [
        "200 ok", "503 migrations are missing: run manage.py migrate",
    ]  # fmt: skip


def test_ready_when_the_broker_is_gone_or_somebody_writes_then_ready(
    root: Path, migrated: Path
) -> None:
    with closing(sqlite3.connect(migrated, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        assert ask(root, f"sqlite:///{migrated}") == ["200 ok", "200 ok"]


def test_ready_when_the_database_is_gone_then_neither(root: Path) -> None:
    found = ask(root, "postgres://dana@127.0.0.1:1/roofs")
    assert found == ["503 database unreachable"] * 2


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_ready_when_the_server_takes_no_writing_then_not(client: Client) -> None:
    told = connection.get_connection_params()
    name = connection.settings_dict["NAME"]
    alter = f'ALTER DATABASE "{name}" SET default_transaction_read_only'
    with psycopg.connect(**told, autocommit=True) as other:
        other.execute(f"{alter} = on")
        try:
            connection.close()
            answer = client.get("/readyz")
        finally:
            other.execute("SET default_transaction_read_only = off")
            other.execute(f"{alter} = off")
            connection.close()
    assert (answer.status_code, answer.content) == (503, b"database is read-only\n")
