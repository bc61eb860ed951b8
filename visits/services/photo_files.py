"""The files of photos in the storage ``photos``: named by us, written before their row, swept."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta
from secrets import token_hex
from uuid import UUID

from django.core.files.base import ContentFile
from django.core.files.storage import Storage, storages

from visits.models import Photo
from visits.pictures import Picture
from visits.services.stored import chunked

IMAGE, THUMBNAIL = ".jpg", "-small.jpg"
ORPHANED_AFTER = timedelta(days=1)
"""Our choice: nobody takes longer from writing a photo's files to committing its row."""


def photo_storage() -> Storage:
    """Where the files lie."""
    return storages["photos"]


def fresh_name(id_: UUID, now: datetime) -> str:
    """What the files of one attempt are named after: two senders never write the same ones."""
    return f"{now:%Y-%m}/{id_.hex}-{token_hex(4)}"


def write_files(stored_as: str, picture: Picture) -> None:
    """Write both files or none; OSError where the storage takes them not."""
    try:
        for ending, data in ((IMAGE, picture.image), (THUMBNAIL, picture.thumbnail)):
            photo_storage().save(f"{stored_as}{ending}", ContentFile(data))
    except OSError:
        # On a full disk the half of a file would keep the room that is missing.
        remove_files(stored_as)
        raise


def remove_files(stored_as: str) -> None:
    """Throw both files out, as far as they are there."""
    for ending in (IMAGE, THUMBNAIL):
        photo_storage().delete(f"{stored_as}{ending}")


def read_file(photo: Photo, ending: str) -> bytes:
    """The photo's file with that ending; FileNotFoundError where it was lost."""
    with photo_storage().open(f"{photo.stored_as}{ending}") as file:
        return bytes(file.read())


def sweep_photo_files(*, now: datetime) -> int:
    """Throw out files that no photo names: of a sender who broke off, of a transaction undone.

    Gives how many there were.  A photo taken out keeps its files, as the record of what was seen.
    """
    swept = 0
    for names in _folders():
        for name in _orphans(names):
            if photo_storage().get_modified_time(name) < now - ORPHANED_AFTER:
                photo_storage().delete(name)
                swept += 1
    return swept


def _folders() -> Iterator[list[str]]:
    """The names of all files, one month at a time."""
    try:
        months, _ = photo_storage().listdir("")
    except FileNotFoundError:
        return  # no photo was ever kept
    for month in months:
        yield [f"{month}/{name}" for name in photo_storage().listdir(month)[1]]


def _orphans(names: list[str]) -> Iterable[str]:
    for part in chunked(names):
        rows = Photo.objects.filter(stored_as__in={_stem(name) for name in part})
        known = set(rows.values_list("stored_as", flat=True))
        yield from (name for name in part if _stem(name) not in known)


def _stem(name: str) -> str:
    return name.removesuffix(THUMBNAIL).removesuffix(IMAGE)
