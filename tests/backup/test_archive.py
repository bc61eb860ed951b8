"""A backup that is not whole, or not for this code, is refused with what to do."""

from __future__ import annotations

import datetime as dt
import json
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import connection
from django.db.migrations.loader import MigrationLoader
from hypothesis import given
from hypothesis import strategies as st

from fleet.models import Agreement, Owner
from schedules.backup import archive
from schedules.backup.archive import About, BackupError, Reader, Writer
from schedules.backup.restoring import check_backup, restore_backup
from schedules.backup.tables import insert_rows, kept_tables, lines_of
from tests.schedules.fans import make_fan, walk
from visits.models import Check

NOW = dt.datetime(2026, 6, 15, 12, 0, 0, 123456, tzinfo=dt.UTC)
KNOWN = frozenset({("fleet", "0001_initial")})


def packed(nodes: frozenset[Any] = KNOWN, rows: int = 300) -> bytes:
    """A small backup of a table and a photo."""
    place = BytesIO()
    writer = Writer(place, About(NOW, nodes))
    writer.add_rows("fleet.owner", (json.dumps({"id": n}).encode() + b"\n" for n in range(rows)))
    writer.add_rows("fleet.site", ())
    writer.add_file("photos", "2026-06/a.jpg", bytes(range(256)) * 8)
    writer.finish()
    return place.getvalue()


def read(data: bytes) -> list[Any]:
    return list(Reader(BytesIO(data)).parts())


def test_backup_when_read_then_what_was_laid_down() -> None:
    reader = Reader(BytesIO(packed()))
    kinds = [(kind, name, len(content)) for kind, name, content in reader.parts()]
    assert kinds == [("rows", "fleet.owner", 300), ("photos", "2026-06/a.jpg", 2048)]
    assert (reader.about, reader.tally.rows["fleet.owner"]) == (About(NOW, KNOWN), 300)


def test_rows_when_they_are_many_then_in_pieces(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(archive, "CHUNK_BYTES", 1_000)
    pieces = [[row["id"] for row in rows] for kind, _, rows in read(packed()) if kind == "rows"]
    assert len(pieces) > 3
    assert [after[0] - before[-1] for before, after in pairwise(pieces)] == [1] * (len(pieces) - 1)


@given(st.data())
def test_backup_when_a_byte_is_another_then_never_taken_for_whole(data: st.DataObject) -> None:
    whole = packed()
    place = data.draw(st.integers(0, len(whole) - 1))
    broken = bytearray(whole)
    broken[place] ^= data.draw(st.integers(1, 255))
    try:
        told = read(bytes(broken))
    except BackupError:
        return
    # what may change unseen is no part of it: owners, modes and times of a tar, and its padding
    assert told == read(whole)


@given(st.integers(0, len(packed()) - 10_240))
def test_backup_when_cut_off_then_refused(length: int) -> None:
    with pytest.raises(BackupError, match=r"damaged or cut off|no backup of ours"):
        read(packed()[:length])


def test_backup_when_it_is_another_file_then_refused(root: Path) -> None:
    with pytest.raises(BackupError):
        read((root / "README.md").read_bytes())


@pytest.mark.django_db
def test_backup_when_of_a_newer_version_then_refused_with_what_it_knows() -> None:
    newer = packed(KNOWN | {("fleet", "9000_lifts")})
    with pytest.raises(BackupError, match=r"newer version: it knows fleet\.9000_lifts.* Install"):
        check_backup(BytesIO(newer))


@pytest.mark.django_db
def test_database_when_something_is_on_record_then_refused(tmp_path: Path) -> None:
    Owner.objects.create(name="Alder Kitchens")
    (tmp_path / "a.tar").write_bytes(packed())
    with pytest.raises(CommandError, match=r"empty install, or say --replace.*Nothing was changed"):
        call_command("restore", str(tmp_path / "a.tar"))
    assert Owner.objects.count() == 1


# A whole file with a true checksum may still be made up: nothing of it gets in, nor out of its
# folder.
@pytest.mark.parametrize(
    ("kind", "name", "content", "told"),
    [
        ("photos", "../../evil.jpg", b"x", "is no name of a photo"),
        ("photos", "/tmp/evil.jpg", b"x", "is no name of a photo"),
        ("config", "settings.py", b"x", "Nobody knows here what config/settings.py is"),
        ("rows", "fleet.owner", b"[1]", "cannot be stored here"),
        ("rows", "fleet.owner", b'{"id": "abc"}', "must be an integer"),
        ("rows", "fleet.owner", b'{"id": 1, "evil": 1}', "no column evil"),
        ("rows", "sessions.session", b"{}", "Nobody knows here what"),
        ("rows", "fleet.closedday", b'{"id": 1, "system_id": 9, "day": "2026-01-01"}', "others"),
    ],
)
@pytest.mark.once
@pytest.mark.django_db(transaction=True)
def test_backup_when_made_up_then_refused_in_a_sentence(
    tmp_path: Path, settings: Any, kind: str, name: str, content: bytes, told: str
) -> None:
    settings.MAIL_FOLDER = tmp_path / "mail"
    place = BytesIO()
    writer = Writer(place, About(NOW, frozenset(MigrationLoader(connection).disk_migrations)))
    if kind == "rows":
        writer.add_rows(name, [content])
    else:
        writer.add_file(kind, name, content)
    writer.finish()
    with pytest.raises(BackupError, match=told):
        restore_backup(BytesIO(place.getvalue()))
    assert not Owner.objects.exists()


@pytest.mark.django_db
def test_backup_when_printed_then_read_from_a_pipe(
    capsysbinary: pytest.CaptureFixture[bytes],
) -> None:
    owner = Owner.objects.create(name="Alder Kitchens")
    call_command("backup", "-")
    rows = {name: rows for kind, name, rows in read(capsysbinary.readouterr().out)}
    assert [row["id"] for row in rows["fleet.owner"]] == [owner.pk]


@pytest.mark.django_db
def test_row_when_put_back_then_the_same_to_the_last_digit() -> None:
    fan = make_fan()
    walk(fan, "2026-06-01", amps_a_a=0.1 + 0.2, typed={"amps_a": "0.3 A", "ÄÖ": [None, 1.5]})
    Check.objects.update(began_at=NOW)
    Agreement.objects.create(owner=fan.site.owner, starts_on=NOW.date(), spending_limit="1.10")
    for label in ("visits.check", "fleet.agreement"):
        table = kept_tables_here()[label]
        before = list(table.objects.values())
        lines = list(lines_of(table))
        table.objects.all().delete()
        insert_rows(table, map(json.loads, lines))
        assert list(table.objects.values()) == before


def kept_tables_here() -> dict[str, Any]:
    """Today's tables."""
    return dict(kept_tables(Owner._meta.apps))
