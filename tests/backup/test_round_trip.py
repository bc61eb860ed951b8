"""What was on record is on record again, to the microsecond, on either database."""

from __future__ import annotations

import json
from pathlib import Path
from shutil import copy, copytree
from typing import Any

import pytest

from tests.backup.doings import rows_in
from tests.installs import Install, fresh_postgres

DOINGS = "tests.backup.doings"
KEPT_BY_MIGRATING = ("auth.permission", "contenttypes.contenttype")


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory, empty_database: Path) -> Path:
    """The folder of the demo's smallest fleet with its photos."""
    folder = tmp_path_factory.mktemp("demo")
    copy(empty_database, folder)
    Install(folder).manage("demo", "--today", "2026-06-15", "--fans", "45")
    return folder


@pytest.fixture
def filled(demo: Path, tmp_path: Path) -> Install:
    """An install of one's own as that was left."""
    return Install(Path(copytree(demo, tmp_path / "filled")))


def saved(install: Install, path: Path) -> dict[str, list[Any]]:
    """A backup of the install, as rows."""
    install.manage("backup", str(path))
    return rows_in(path)


def restored(install: Install, path: Path) -> Install:
    """The install with that backup in it, of which no date moved."""
    told = json.loads(install.manage("restore", str(path), "--json").stdout)
    assert (told["fans"], told["changed"]) == (46, 0)
    again = json.loads(install.manage("reckon", "--from-truth", "--json").stdout)
    assert (again["fans"], again["changed"], again["failed"]) == (46, 0, 0)
    return install


def test_sqlite_when_restored_into_sqlite_then_all_is_there(
    filled: Install, tmp_path: Path
) -> None:
    key = filled.tell(f"{DOINGS}:add_people")
    before = saved(filled, tmp_path / "a.tar")
    ours = restored(Install(tmp_path / "b"), tmp_path / "a.tar")
    assert saved(ours, tmp_path / "b.tar") == before
    assert ours.tell(f"{DOINGS}:key_is_known", key) == [200, True, [["inspectors"]]]
    assert ours.tell(f"{DOINGS}:next_fan") == filled.tell(f"{DOINGS}:next_fan")
    assert ours.tell(f"{DOINGS}:pages") == [200, 200, 200]
    assert len([name for name in before if name.startswith("photos/")]) == 4


@pytest.mark.postgres
def test_backup_when_restored_across_databases_and_back_then_all_is_there(
    filled: Install, tmp_path: Path
) -> None:
    key = filled.tell(f"{DOINGS}:add_people")
    before = saved(filled, tmp_path / "a.tar")
    with fresh_postgres() as one, fresh_postgres() as two:
        first = restored(Install(tmp_path / "one", one), tmp_path / "a.tar")
        assert saved(first, tmp_path / "b.tar") == before
        second = restored(Install(tmp_path / "two", two), tmp_path / "b.tar")
        assert saved(second, tmp_path / "c.tar") == before
        assert second.tell(f"{DOINGS}:key_is_known", key) == [200, True, [["inspectors"]]]
        assert second.tell(f"{DOINGS}:next_fan") == filled.tell(f"{DOINGS}:next_fan")
        seen = second.tell(f"{DOINGS}:save_while_others_write")
        assert seen == [seen[0], seen[0], seen[0] + 1]
        back = restored(Install(tmp_path / "back"), tmp_path / "c.tar")
        assert saved(back, tmp_path / "d.tar") == before


def test_backup_when_somebody_writes_meanwhile_then_as_of_one_moment(filled: Install) -> None:
    filled.tell(f"{DOINGS}:add_people")
    seen = filled.tell(f"{DOINGS}:save_while_others_write")
    assert seen == [seen[0], seen[0], seen[0] + 1]


def test_restore_when_refused_then_all_is_as_it_was(filled: Install, tmp_path: Path) -> None:
    path, broken = tmp_path / "a.tar", tmp_path / "broken.tar"
    before = saved(filled, path)
    broken.write_bytes(path.read_bytes()[:-20_000])
    said = filled.manage("restore", str(path), code=1).stderr
    assert "Restore into an empty install, or say --replace" in said
    said = filled.manage("restore", str(broken), "--replace", code=1).stderr
    assert "damaged or cut off" in said
    assert "Nothing was changed." in said
    assert saved(filled, tmp_path / "b.tar") == before
    said = filled.manage("restore", str(path), "--replace").stdout
    assert "45 fans reckoned, 0 dates changed" in said
    assert saved(filled, tmp_path / "c.tar") == before
