"""Where nothing can be stored people are told so, in words for each door, and nothing half is left.

Answers are 507 (RFC 4918, section 11.5) for a full disk and 503 (RFC 9110, section 15.6.4) for one
that may only be read, with Retry-After.
"""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import DatabaseError, connection, transaction

from config.command_line import sentence_for
from fleet.models import Person
from schedules.models import Notice
from schedules.notices.sending import send_notices
from tests.api.asking import by_key
from tests.api.logs import VISITS, walk
from tests.api.photos import send, visited
from tests.notices.letters import MONDAY, overdue_fan, write
from tests.people import Roofs
from visits.models import Photo, Visit

ROOM_BYTES = 400
"""Less than any photo, email or backup has."""

STORY = """
import sys, pathlib, config.wsgi
from tests.deploy.no_room import main
main(pathlib.Path(sys.argv[1]))
"""
DISK_FULL = """
CREATE FUNCTION no_room() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN
    RAISE EXCEPTION 'could not extend file "base/1/2": No space left on device'
    USING ERRCODE = 'disk_full'; END $$;
CREATE TRIGGER no_room BEFORE INSERT ON visits_visit EXECUTE FUNCTION no_room();
"""


@contextmanager
def files_cannot_grow() -> Iterator[None]:
    """Let no file of this process become longer than some bytes, as on a disk without room.

    Python would keep the first bytes of what it compiles meanwhile, and every process after this
    one would read them.
    """
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    bytecode, sys.dont_write_bytecode = sys.dont_write_bytecode, True
    resource.setrlimit(resource.RLIMIT_FSIZE, (ROOM_BYTES, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
        sys.dont_write_bytecode = bytecode


def files_in(folder: Path) -> list[Path]:
    return [path for path in folder.rglob("*") if path.is_file()]


@pytest.mark.tiny_disk
def test_sqlite_when_its_disk_is_full_or_read_only_then_told_and_nothing_half_left(
    root: Path, tmp_path: Path
) -> None:
    settings = {"DATA_DIR": str(tmp_path), "ALLOWED_HOSTS": "testserver"}
    kept = {k: v for k, v in os.environ.items() if k not in ("DATABASE_URL", "MAIL_URL")}
    inside = f"mount -t tmpfs -o size=12m none '{tmp_path}' && exec \"$@\""
    done = subprocess.run(
        ["unshare", "-rm", "sh", "-c", inside, "sh", sys.executable, "-c", STORY, tmp_path],
        cwd=root, env=kept | settings, capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    doors = ("visit", "photo", "upload")
    no_room = ["507 no_room", "507 no_room", "507 No room left"]
    assert [told["full"][door] for door in doors] == no_room
    assert [told["full, started anew"][door] for door in doors] == no_room
    assert [told["read-only"][door] for door in doors] == [
        "503 read_only", "503 read_only", "503 Nothing can be stored now",
    ]  # fmt: skip
    for time in ("full", "full, started anew", "read-only"):
        ends = {told[time][command].partition(":")[0] for command in ("import", "mail", "backup")}
        assert ends == {"refused"}
        assert "Make room" in told["full"]["import"]
        assert told[f"after {time}"] == told["before"]
    assert [told["well"][door] for door in doors] == ["201 stored", "201 stored", "200 Import"]
    assert told["well"]["mail"].startswith("done: 0 notices written, 1 sent")
    assert told["well"]["backup"].startswith("done: ")
    assert sum(name.endswith(".eml") for name in told["after well"]["files"]) == 1


def test_photo_when_its_folder_has_no_room_then_507_and_no_file(
    roofs: Roofs, theo: Person, photo_folder: Path
) -> None:
    visit = visited(roofs.bakery, theo)
    with files_cannot_grow():
        answer = send(by_key(theo), visit)
    assert (answer.status_code, answer.json()["code"], answer.headers["Retry-After"]) == (
        507, "no_room", "300",
    )  # fmt: skip
    assert (Photo.objects.count(), files_in(photo_folder)) == (0, [])


@pytest.mark.django_db
def test_mail_when_its_folder_has_no_room_then_put_off_and_no_file(
    settings: Any, tmp_path: Path
) -> None:
    settings.EMAIL_BACKEND = "config.mail_folder.FolderBackend"
    settings.MAIL_FOLDER = tmp_path / "mail"
    overdue_fan()
    write()
    with files_cannot_grow():
        report = send_notices(clock=lambda: MONDAY)
    assert (report.sent, report.put_off, files_in(tmp_path)) == (0, 1, [])
    assert "File too large" in Notice.objects.get().fault


@pytest.mark.django_db
def test_backup_when_its_place_has_no_room_then_told_and_no_file(tmp_path: Path) -> None:
    with files_cannot_grow(), pytest.raises(CommandError, match="Make room there, or name another"):
        call_command("backup", str(tmp_path / "all.tar"), stdout=StringIO(), stderr=StringIO())
    assert files_in(tmp_path) == []


@pytest.mark.postgres
def test_postgres_when_its_disk_is_full_then_507_and_nothing_stored(
    roofs: Roofs, theo: Person
) -> None:
    with connection.cursor() as cursor:
        cursor.execute(DISK_FULL)
    answer = by_key(theo).post(VISITS, walk(roofs.bakery))
    assert (answer.status_code, answer.json()["code"], Visit.objects.count()) == (507, "no_room", 0)


@pytest.mark.postgres
@pytest.mark.parametrize("door", ["visit", "photo"])
def test_postgres_when_it_may_only_be_read_then_503_and_nothing_stored(
    roofs: Roofs, theo: Person, photo_folder: Path, door: str
) -> None:
    visit, phone = visited(roofs.bakery, theo), by_key(theo)
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SET TRANSACTION READ ONLY")
        answer = phone.post(VISITS, walk(roofs.canteen)) if door == "visit" else send(phone, visit)
    assert (answer.status_code, answer.json()["code"]) == (503, "read_only")
    assert (Visit.objects.count(), Photo.objects.count()) == (1, 0)


@pytest.mark.postgres
@pytest.mark.django_db
def test_import_when_postgres_may_only_be_read_then_a_sentence(root: Path) -> None:
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SET TRANSACTION READ ONLY")
        with pytest.raises(DatabaseError) as refused:
            call_command(
                "import_fleet", root / "fixtures/examples/fleet.csv", stdout=StringIO(),
                stderr=StringIO(),
            )  # fmt: skip
    assert sentence_for(refused.value).endswith("or have this one take it.")
