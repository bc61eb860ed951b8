"""A database that the first release made serves today's code, migrated or restored.

``fixtures/upgrade/first_release.tar.xz`` holds it, with the two files it was made of: an invented
fleet of 45 fans, brought in on 15 June 2026 by the code of 25 November 2026, 02:18 UTC, whose
newest migrations were the first of each app.
"""

from __future__ import annotations

import json
import sqlite3
import tarfile
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from tests.backup.doings import answers, import_files
from tests.installs import ROOT, Install, fresh_postgres

PACKED = ROOT / "fixtures" / "upgrade" / "first_release.tar.xz"
DOINGS = "tests.backup.doings"
WELL = [200, 200, 200]
"""How its pages answer."""


@pytest.fixture
def old(tmp_path: Path) -> Install:
    """The install as the first release left it."""
    with tarfile.open(PACKED) as packed:
        packed.extractall(tmp_path / "old", filter="data")
    return Install(tmp_path / "old")


@pytest.fixture
def anew(old: Install, db: None) -> dict[str, list[Any]]:
    """The answers where today's code brings in the same fleet and visits."""
    import_files(old.folder)
    found = answers()
    assert len(found) == 45
    return found


def tables_in(path: Path) -> set[tuple[str, ...]]:
    """Columns and indexes: what is made at once is what the migrations came to, one by one."""
    with closing(sqlite3.connect(path)) as link:
        names = link.execute("SELECT type, name, tbl_name FROM sqlite_master").fetchall()
        columns = [
            tuple(map(str, (table, *column[1:])))
            for kind, table, _ in names
            if kind == "table"
            for column in link.execute(f"PRAGMA table_info({table})")
        ]
    return {*names, *columns}


def test_fixture_when_measured_then_small() -> None:
    assert PACKED.stat().st_size < 200_000


@pytest.mark.once
def test_old_database_when_restored_or_migrated_then_the_dates_of_a_fresh_import(
    old: Install, anew: dict[str, list[Any]], tmp_path: Path, empty_database: Path
) -> None:
    rows = old.tell(f"{DOINGS}:save_as_it_is", tmp_path / "old.tar")
    restored = Install(tmp_path / "restored")
    told = json.loads(restored.manage("restore", str(tmp_path / "old.tar"), "--json").stdout)
    assert (sum(told["rows"].values()), told["fans"]) == (rows, 45)
    assert restored.tell(f"{DOINGS}:answers_and_pages") == [anew, WELL]
    old.manage("migrate", "-v0")
    assert tables_in(old.folder / "roofround.sqlite3") == tables_in(empty_database)
    assert old.tell(f"{DOINGS}:reckoned_answers_and_pages") == [[45, 0], anew, WELL]


@pytest.mark.postgres
def test_old_backup_when_restored_into_postgres_then_the_dates_of_a_fresh_import(
    old: Install, anew: dict[str, list[Any]], tmp_path: Path
) -> None:
    old.tell(f"{DOINGS}:save_as_it_is", tmp_path / "old.tar")
    with fresh_postgres() as address:
        install = Install(tmp_path / "restored", address)
        install.manage("restore", str(tmp_path / "old.tar"))
        assert install.tell(f"{DOINGS}:answers_and_pages") == [anew, WELL]
