"""Put a backup back: everything of it or nothing, into an install that has nothing of its own."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path, PurePath
from typing import IO

from django.apps.registry import Apps
from django.conf import settings
from django.core.exceptions import SuspiciousOperation, ValidationError
from django.core.files.base import ContentFile
from django.db import DatabaseError, IntegrityError, connection, transaction

from schedules.backup.archive import DAMAGE, MAIL, PHOTOS, ROWS, BackupError, Reader, Tally
from schedules.backup.schema import bring_up_to_date, is_empty, make_tables, refuse_unknown
from schedules.backup.tables import insert_rows, kept_tables, write_next_keys
from visits.services.photo_files import photo_storage

Tell = Callable[[str], None]


def check_backup(stream: IO[bytes]) -> Reader:
    """Read a backup to its end without storing anything; BackupError where it is not whole."""
    reader = Reader(stream)
    refuse_unknown(reader.about.migrations, "This backup is")
    for _ in reader.parts():
        pass
    return reader


def restore_backup(
    stream: IO[bytes], *, replace: bool = False, tell: Tell = lambda _: None
) -> Tally:
    """Put a backup back in one transaction, then apply what migrations came since it was made.

    Raises BackupError, with everything as it was, where the file is damaged or of a newer version,
    or where something is on record here and ``replace`` is not said.  Photos and emails that came
    out before a fault stay as files that nobody names; the nightly sweep takes the former.
    """
    reader = Reader(stream)
    refuse_unknown(reader.about.migrations, "This backup is")
    with _unchecked(), transaction.atomic():
        if not replace and not is_empty():
            raise BackupError(
                "Something is on record here already. Restore into an empty install, or say "
                "--replace: then all that is here now is thrown away."
            )
        apps = make_tables(reader.about.migrations)
        # Migrations may leave keys to be checked at once, but rows come before those they name.
        connection.check_constraints()
        _take_in(reader, apps, tell)
        write_next_keys(kept_tables(apps), reader.tally.next_keys)
        _check_rows()
        bring_up_to_date()
    return reader.tally


def _check_rows() -> None:
    """Before anything is altered: PostgreSQL alters no table that still has rows to check."""
    try:
        connection.check_constraints()
    except IntegrityError as error:
        raise BackupError(f"Rows name others that are not in this backup: {error}") from error


def _take_in(reader: Reader, apps: Apps, tell: Tell) -> None:
    tables, last = kept_tables(apps), ""
    for kind, name, content in reader.parts():
        if kind == ROWS and name in tables:
            try:
                insert_rows(tables[name], content)
            except (DatabaseError, ValidationError, *DAMAGE) as error:
                raise BackupError(f"Rows of {name} cannot be stored here: {error}") from error
        elif kind == PHOTOS:
            _keep_photo(name, content)
        elif kind == MAIL:
            _keep_mail(name, content)
        else:
            raise BackupError(f"Nobody knows here what {kind}/{name} is. Use another backup.")
        if name != last and kind == ROWS:
            tell(name)
        last = name


def _keep_photo(name: str, data: bytes) -> None:
    storage = photo_storage()
    try:
        storage.delete(name)  # else it would be kept under another name
        storage.save(name, ContentFile(data))
    except SuspiciousOperation as error:
        raise BackupError(f"{name} is no name of a photo. Use another backup.") from error


def _keep_mail(name: str, data: bytes) -> None:
    folder = Path(settings.MAIL_FOLDER)
    folder.mkdir(parents=True, exist_ok=True)
    (folder / PurePath(name).name).write_bytes(data)


@contextmanager
def _unchecked() -> Iterator[None]:
    """Rows may come before those they name; SQLite must be told before its transaction begins."""
    connection.ensure_connection()
    connection.disable_constraint_checking()
    try:
        yield
    finally:
        connection.enable_constraint_checking()
