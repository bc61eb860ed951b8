"""Photos of a fan's visits, small, each leading to the large one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import gettext as _

from schedules.fan_page.gathering import FanFile
from schedules.wording import day_text
from visits.models import Photo, Visit
from visits.pictures import thumbnail_size
from visits.wording.names import subject_words, upper_first


@dataclass(frozen=True)
class ShownPhoto:
    """Addresses of both pictures, the small one's size [px], what it shows, and its name."""

    image: str
    thumbnail: str
    width: int
    height: int
    what: str
    name: str


def photos_of(file: FanFile, visit: Visit) -> list[ShownPhoto]:
    """Standing photos of a visit and of those that it corrects, in the order they came."""
    return [
        _show(file, photo)
        for each in _with_those_corrected(file, visit)
        for photo in file.photos.get(each.pk, ())
        if photo.withdrawn_at is None
    ]


def taken_out_of(file: FanFile, visit: Visit) -> list[str]:
    """Who took which photos of the visit out, when and why."""
    return [
        _("Photo taken out by {who}, {day}: {why}").format(
            who=photo.withdrawn_by.called if photo.withdrawn_by else _("nobody known"),
            day=day_text(photo.withdrawn_at.astimezone(file.fan.site.zone).date()),
            why=photo.withdrawn_reason,
        )
        for photo in file.photos.get(visit.pk, ())
        if photo.withdrawn_at
    ]


def _with_those_corrected(file: FanFile, visit: Visit) -> Iterator[Visit]:
    """The visit, then what it corrects as far as that tells anything of this fan."""
    each: Visit | None = visit
    while each is not None:
        yield each
        each = file.visits.get(each.supersedes_id) if each.supersedes_id else None


def _show(file: FanFile, photo: Photo) -> ShownPhoto:
    width, height = thumbnail_size(photo.width, photo.height)
    subject = upper_first(subject_words(photo.subject)) if photo.subject else ""
    what = ": ".join(part for part in (subject, photo.caption) if part)
    name = _("Photo of {tag}").format(tag=file.fan.tag) if photo.fan_id else _("Photo of the visit")
    return ShownPhoto(
        image=reverse("photo_image", args=[photo.pk]),
        thumbnail=reverse("photo_thumbnail", args=[photo.pk]),
        width=width,
        height=height,
        what=what,
        name=f"{name}: {what}" if what else name,
    )
