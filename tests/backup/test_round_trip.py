"""What was on record is on record again, to the microsecond, on either database."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from shutil import copy, copytree
from typing import Any

import pytest

from tests.backup.doings import rows_in
from tests.installs import Install, fresh_postgres

DOINGS = "tests.backup.doings"
ALL_THERE = [[46, 0, 0], [200, True, [["inspectors"]]], [200, 200, 200]]
"""What ``look_around`` says of it: no date moved, a key is known, pages are shown."""


@dataclass(frozen=True)
class Kept:
    """The demo's smallest fleet with its photos, and people beside, one of whom has a key.

    ``rows`` is what the backup at ``path`` holds of the install in ``folder``.
    """

    folder: Path
    key: str
    path: Path
    rows: dict[str, list[Any]]


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory, empty_database: Path) -> Kept:
    """That fleet, backed up once for all tests."""
    folder, path = tmp_path_factory.mktemp("demo"), tmp_path_factory.mktemp("kept") / "a.tar"
    copy(empty_database, folder)
    install = Install(folder)
    install.manage("demo", "--today", "2026-06-15", "--fans", "45")
    key = install.tell(f"{DOINGS}:add_people")
    return Kept(folder, key, path, saved(install, path))


@pytest.fixture
def filled(kept: Kept, tmp_path: Path) -> Install:
    """An install of one's own as that was left."""
    return Install(Path(copytree(kept.folder, tmp_path / "filled")))


def saved(install: Install, path: Path) -> dict[str, list[Any]]:
    """A backup of the install, as rows."""
    install.manage("backup", str(path))
    return rows_in(path)


def restored(install: Install, path: Path) -> Install:
    """The install with that backup in it, of which no date moved."""
    told = json.loads(install.manage("restore", str(path), "--json").stdout)
    assert (told["fans"], told["changed"]) == (46, 0)
    return install


def everything_in(install: Install) -> tuple[list[str], list[bytes]]:
    """Its SQLite database statement by statement, and its photos."""
    photos = sorted((install.folder / "photos").rglob("*.jpg"))
    with closing(sqlite3.connect(install.folder / "roofround.sqlite3")) as link:
        return list(link.iterdump()), [photo.read_bytes() for photo in photos]


def test_sqlite_when_restored_into_sqlite_then_all_is_there(
    kept: Kept, filled: Install, empty_database: Path, tmp_path: Path
) -> None:
    (tmp_path / "b").mkdir()
    copy(empty_database, tmp_path / "b")
    ours = restored(Install(tmp_path / "b"), kept.path)
    assert saved(ours, tmp_path / "b.tar") == kept.rows
    *seen, fan = ours.tell(f"{DOINGS}:look_around", kept.key)
    assert (seen, fan) == (ALL_THERE, filled.tell(f"{DOINGS}:next_fan"))
    assert len([name for name in kept.rows if name.startswith("photos/")]) == 4


@pytest.mark.postgres
def test_backup_when_restored_across_databases_and_back_then_all_is_there(
    kept: Kept, filled: Install, tmp_path: Path
) -> None:
    with fresh_postgres() as one, fresh_postgres() as two:
        first = restored(Install(tmp_path / "one", one), kept.path)
        assert saved(first, tmp_path / "b.tar") == kept.rows
        second = restored(Install(tmp_path / "two", two), tmp_path / "b.tar")
        assert saved(second, tmp_path / "c.tar") == kept.rows
        *seen, fan = second.tell(f"{DOINGS}:look_around", kept.key)
        assert (seen, fan) == (ALL_THERE, filled.tell(f"{DOINGS}:next_fan"))
        visits = second.tell(f"{DOINGS}:save_while_others_write")
        assert visits == [visits[0], visits[0], visits[0] + 1]
        back = restored(Install(tmp_path / "back"), tmp_path / "c.tar")
        assert saved(back, tmp_path / "d.tar") == kept.rows


def test_backup_when_somebody_writes_meanwhile_then_as_of_one_moment(filled: Install) -> None:
    seen = filled.tell(f"{DOINGS}:save_while_others_write")
    assert seen == [seen[0], seen[0], seen[0] + 1]


def test_restore_when_refused_then_all_is_as_it_was(
    kept: Kept, filled: Install, tmp_path: Path
) -> None:
    before, broken = everything_in(filled), tmp_path / "broken.tar"
    assert (len(before[0]) > 1000, len(before[1])) == (True, 4)
    broken.write_bytes(kept.path.read_bytes()[:-20_000])
    said = filled.manage("restore", str(kept.path), code=1).stderr
    assert "Restore into an empty install, or say --replace" in said
    said = filled.manage("restore", str(broken), "--replace", code=1).stderr
    assert "damaged or cut off" in said
    assert "Nothing was changed." in said
    assert everything_in(filled) == before
    said = filled.manage("restore", str(kept.path), "--replace").stdout
    assert "46 fans reckoned, 0 dates changed" in said
    assert saved(filled, tmp_path / "c.tar") == kept.rows
