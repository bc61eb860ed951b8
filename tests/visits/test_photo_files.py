"""The files behind photos: written before their row, swept where no row came of them."""

from __future__ import annotations

import json
import os
from datetime import timedelta
from io import StringIO
from pathlib import Path
from uuid import UUID, uuid4

import pytest
from django.core.management import call_command
from django.db import IntegrityError, transaction
from django.utils import timezone

from tests.visits.photographs import photo
from tests.visits.roofs import NOW, check, log, make_roof
from visits.models import Photo, Visit
from visits.pictures import Picture
from visits.services import PayloadConflictError, attach_photo, photos, sweep_photo_files
from visits.services.photo_files import write_files

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit(db: None) -> Visit:
    """A visit to EF-1 at Quay Street."""
    make_roof()
    return log(check()).visit


def attach(visit: Visit, id_: UUID | None = None) -> Photo:
    told = {"id": str(id_ or uuid4())}
    return attach_photo(visit=visit, told=told, data=photo(), by=None, now=NOW).photo


def files(folder: Path) -> list[str]:
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file())


def aged(folder: Path) -> None:
    """Make every file two days old."""
    old = (timezone.now() - timedelta(days=2)).timestamp()
    for path in folder.rglob("*"):
        os.utime(path, (old, old))


def test_photo_when_attached_then_its_files_are_named_by_us(
    visit: Visit, photo_folder: Path
) -> None:
    kept = attach(visit)
    assert (files(photo_folder), kept.stored_as[:41]) == (
        [f"{kept.stored_as}-small.jpg", f"{kept.stored_as}.jpg"], f"2026-06/{kept.pk.hex}-",
    )  # fmt: skip


def test_photo_when_its_transaction_is_undone_then_gone_and_its_files_are_swept(
    visit: Visit, photo_folder: Path
) -> None:
    with transaction.atomic():
        attach(visit)
        transaction.set_rollback(True)
    aged(photo_folder)
    left = len(files(photo_folder))
    assert (Photo.objects.count(), left, sweep_photo_files(now=timezone.now())) == (0, 2, 2)


def test_photo_when_another_was_quicker_under_its_id_then_no_files_of_it_stay(
    visit: Visit, photo_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    id_ = uuid4()

    def write_late(stored_as: str, picture: Picture) -> None:
        monkeypatch.undo()
        attach(visit, id_)
        write_files(stored_as, picture)

    monkeypatch.setattr(photos, "write_files", write_late)
    told = {"id": str(id_), "caption": "another"}
    with pytest.raises(PayloadConflictError):
        attach_photo(visit=visit, told=told, data=photo(), by=None, now=NOW)
    assert len(files(photo_folder)) == 2


def test_photo_when_its_id_comes_in_capitals_then_the_same(visit: Visit) -> None:
    kept = attach(visit)
    told = {"id": str(kept.pk).upper()}
    again = attach_photo(visit=visit, told=told, data=photo(), by=None, now=NOW)
    assert (again.photo, again.created) == (kept, False)


def test_files_when_swept_then_those_on_record_and_those_on_their_way_stay(
    visit: Visit, photo_folder: Path
) -> None:
    kept = attach(visit)
    aged(photo_folder)
    with transaction.atomic():
        on_its_way = attach(visit)
        transaction.set_rollback(True)
    assert (sweep_photo_files(now=timezone.now()), files(photo_folder)) == (0, sorted(
        f"{each.stored_as}{ending}" for each in (kept, on_its_way)
        for ending in ("-small.jpg", ".jpg")
    ))  # fmt: skip


def test_files_when_only_one_of_two_was_written_then_swept(
    visit: Visit, photo_folder: Path
) -> None:
    kept = attach(visit)
    (photo_folder / "2026-06" / f"{uuid4().hex}-00000000.jpg").write_bytes(b"cut")
    aged(photo_folder)
    sweep_photo_files(now=timezone.now())
    assert files(photo_folder) == [f"{kept.stored_as}-small.jpg", f"{kept.stored_as}.jpg"]


def test_sweep_when_no_photo_was_ever_kept_then_nothing_to_do(db: None, photo_folder: Path) -> None:
    said = StringIO()
    call_command("sweep_photos", "--json", stdout=said)
    assert json.loads(said.getvalue()) == {"files": 0}


def test_photo_when_taken_out_by_a_query_without_a_reason_then_refused(visit: Visit) -> None:
    kept = attach(visit)
    with pytest.raises(IntegrityError), transaction.atomic():
        Photo.objects.filter(pk=kept.pk).update(withdrawn_at=NOW)
