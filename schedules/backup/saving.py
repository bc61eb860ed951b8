"""Make a backup: all rows of one snapshot, the photos they name, the emails kept as files."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import IO

from django.apps import apps as present
from django.conf import settings

from config.collisions import one_snapshot
from config.whole_files import OWNER_ONLY, whole_file
from schedules.backup.archive import MAIL, PHOTOS, About, BackupError, Tally, Writer
from schedules.backup.schema import applied_migrations
from schedules.backup.tables import kept_tables, lines_of, read_next_keys
from visits.models import Photo
from visits.services.photo_files import IMAGE, THUMBNAIL, photo_storage

Tell = Callable[[str], None]


@dataclass(frozen=True)
class Saved:
    """What went into a backup, and which photos' files were lost before."""

    tally: Tally
    lost: tuple[str, ...]


def save_backup(stream: IO[bytes], *, now: datetime, tell: Tell = lambda _: None) -> Saved:
    """Write everything on record into the stream, as of one moment; others go on writing.

    Holds about a megabyte of rows and one photo at a time.  Raises BackupError where the tables
    are not those of this code, OSError where the stream takes no more.
    """
    nodes = applied_migrations()
    with one_snapshot():
        writer, tables = Writer(stream, About(now, nodes)), kept_tables(present)
        for label, table in tables.items():
            writer.add_rows(label, lines_of(table))
            tell(f"{label}: {writer.tally.rows[label]:,}")
        lost = tuple(_add_photos(writer))
        writer.tally.next_keys = read_next_keys(tables)
    _add_mail(writer)
    writer.finish()
    return Saved(writer.tally, lost)


@contextmanager
def new_file(path: Path, *, replace: bool) -> Iterator[IO[bytes]]:
    """A file that only its owner reads and that appears whole or not at all."""
    if path.exists() and not replace:
        raise BackupError(f"{path} is there already. Give another name, or --replace.")
    with whole_file(path, mode=OWNER_ONLY) as file:
        yield file


def _add_photos(writer: Writer) -> Iterator[str]:
    """Add both files of each photo; gives the names of those that are not there."""
    storage = photo_storage()
    stored = Photo.objects.order_by("stored_as").values_list("stored_as", flat=True)
    for stem in stored.iterator():
        for name in (f"{stem}{IMAGE}", f"{stem}{THUMBNAIL}"):
            try:
                with storage.open(name) as file:
                    writer.add_file(PHOTOS, name, file.read())
            except FileNotFoundError:
                yield name


def _add_mail(writer: Writer) -> None:
    for path in sorted(Path(settings.MAIL_FOLDER).glob("*.eml")):
        writer.add_file(MAIL, path.name, path.read_bytes())
