"""What people do with photos: attach one to a visit, once, and take a mistaken one out."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.conf import settings
from django.db import transaction
from django.utils.translation import gettext as _

from config.collisions import in_one_transaction
from fleet.models import Fan, Person
from visits.models import Photo, Visit
from visits.payload import PayloadError
from visits.payload.complaints import Complaint, choices_remedy, complaint
from visits.payload.photo import PhotoEntry, read_photo
from visits.payload.record import canonical_json
from visits.pictures import read_picture
from visits.services.errors import PayloadConflictError
from visits.services.ground import SKEW
from visits.services.photo_files import fresh_name, remove_files, write_files
from visits.services.recalling import fans_told_of

MOST_OF_A_VISIT = 200


@dataclass(frozen=True, slots=True)
class Attached:
    """A photo as stored; ``created`` is false where it was there already."""

    photo: Photo
    created: bool


def attach_photo(
    *, visit: Visit, told: Mapping[str, str], data: bytes, by: Person | None, now: datetime
) -> Attached:
    """Keep a photo of a visit under the id that its sender made for it.

    ``told`` are the words beside it, as ``visits.payload.photo`` reads them, ``data`` the file as
    sent.  The same again gives back the stored one.  Raises PayloadError with every complaint about
    the words, PictureError about the file, PayloadConflictError where the id belongs to something
    else, OSError where the storage takes nothing.
    """
    entry = read_photo(told)
    sha256 = _sha256(visit, {**told, "id": str(entry.id)}, data)
    if stored := _stored(entry.id, sha256):
        return Attached(stored, created=False)
    photo = _described(visit, entry, now)
    picture = read_picture(data, keep_position=settings.PHOTO_KEEP_POSITION)
    photo.recorded_by, photo.received_at, photo.payload_sha256 = by, now, sha256
    photo.width, photo.height, photo.bytes = picture.width, picture.height, len(picture.image)
    photo.stored_as = fresh_name(photo.pk, now)
    write_files(photo.stored_as, picture)
    # Whatever breaks off from here on leaves files and maybe a row: the sweep looks which.
    try:
        kept = _insert(photo)
    except PayloadConflictError:
        remove_files(photo.stored_as)
        raise
    if kept is not photo:
        remove_files(photo.stored_as)
    return Attached(kept, created=kept is photo)


@transaction.atomic
def withdraw_photo(*, photo: Photo, reason: str, by: Person, now: datetime) -> Photo:
    """Take a mistaken photo out; it stays on record with who did, when and why.

    Again for the same reason it stays as it is; PayloadConflictError for another one.
    """
    held = Photo.objects.select_for_update().get(pk=photo.pk)
    if held.withdrawn_at is None:
        held.withdrawn_at, held.withdrawn_by, held.withdrawn_reason = now, by, reason
        held.save(update_fields=["withdrawn_at", "withdrawn_by", "withdrawn_reason"])
    elif held.withdrawn_reason != reason:
        raise PayloadConflictError
    return held


def _sha256(visit: Visit, told: Mapping[str, str], data: bytes) -> str:
    words = canonical_json({**told, "visit": str(visit.pk)})
    return hashlib.sha256(words.encode() + b"\n" + data).hexdigest()


def _stored(id_: UUID, sha256: str) -> Photo | None:
    stored = Photo.objects.filter(pk=id_).first()
    if stored is not None and stored.payload_sha256 != sha256:
        raise PayloadConflictError
    return stored


@in_one_transaction
def _insert(photo: Photo) -> Photo:
    """The photo; or, where another sender was quicker, what it stored."""
    stored = _stored(photo.pk, photo.payload_sha256)
    if stored is None:
        photo.save(force_insert=True)
    return stored or photo


def _described(visit: Visit, entry: PhotoEntry, now: datetime) -> Photo:
    """The photo of what its words say, as far as the visit tells of that."""
    complaints: list[Complaint] = []
    photo = Photo(id=entry.id, visit=visit, subject=entry.subject, caption=entry.caption)
    if entry.fan:
        photo.fan = _fan(visit, entry.fan, complaints)
    if entry.finding:
        _take_finding(photo, entry, complaints)
    _take_moment(photo, entry, now, complaints)
    if visit.photos.count() >= MOST_OF_A_VISIT:
        problem = _("the visit has %(most)s photos already") % {"most": MOST_OF_A_VISIT}
        remedy = _("take some out, or log another visit")
        complaints.append(complaint("", problem, None, remedy))
    if complaints:
        raise PayloadError(complaints)
    return photo


def _fan(visit: Visit, tag: str, complaints: list[Complaint]) -> Fan | None:
    fans = {fan.tag.casefold(): fan for fan in Fan.objects.filter(pk__in=fans_told_of(visit))}
    fan = fans.get(tag.casefold())
    if fan is None:
        remedy = choices_remedy(tag, [known.tag for known in fans.values()], "fans")
        problem = _("the visit tells nothing of this fan")
        complaints.append(complaint("/fan", problem, tag, remedy))
    return fan


def _take_finding(photo: Photo, entry: PhotoEntry, complaints: list[Complaint]) -> None:
    finding = photo.visit.findings.filter(pk=str(entry.finding)).first()
    if finding is None:
        remedy = _("give the id of a finding of this visit")
        complaints.append(complaint("/finding", _("no such finding"), str(entry.finding), remedy))
    elif entry.fan and photo.fan_id != finding.fan_id:
        remedy = _("leave the fan out, or name that of the finding")
        problem = _("the finding is of another fan")
        complaints.append(complaint("/fan", problem, entry.fan, remedy))
    else:
        photo.finding, photo.fan_id = finding, finding.fan_id
        photo.subject = entry.subject or finding.subject


def _take_moment(
    photo: Photo, entry: PhotoEntry, now: datetime, complaints: list[Complaint]
) -> None:
    if entry.taken is None:
        return
    zone, written = photo.visit.site.zone, str(entry.taken.written)
    photo.taken_at = entry.taken.at(zone).at
    if not entry.taken.exists_at(zone):
        problem = _("the clocks at %(site)s skipped this time") % {"site": photo.visit.site.name}
        remedy = _("give the time an hour later, or with its offset")
        complaints.append(complaint("/taken_at", problem, written, remedy))
    elif photo.taken_at > now + SKEW:
        problem, remedy = _("this lies in the future"), _("check year and month")
        complaints.append(complaint("/taken_at", problem, written, remedy))
