"""The owner's page made ready for its template: words, and where each answer is given."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from schedules import wording
from schedules.due.lines import DueLine
from schedules.owner_page.advice import AdviceFile, Part, answer_text
from schedules.owner_page.gathering import OwnerFile
from schedules.wording.owners import WaitingTold, fan_told, made_safe_told, not_running_told
from visits.models import Photo
from visits.pictures import thumbnail_size
from visits.wording import owner_subject
from visits.wording.names import upper_first


@dataclass(frozen=True)
class ShownFan:
    """One fan in words: ``stop`` first of all, ``over`` how long overdue, ``coming`` when we come.

    ``standing`` tells what a kitchen's word that it does not run means, ``needs`` the yes it takes;
    any may be empty.
    """

    name: str
    site: str
    due: str
    distance: str
    over: str
    stop: str
    standing: str
    made_safe: str
    said: list[str]
    needs: str
    coming: str
    waiting: WaitingTold | None


@dataclass(frozen=True)
class ShownPhoto:
    """A photo under the link's own addresses."""

    image: str
    thumbnail: str
    width: int
    height: int
    name: str


@dataclass(frozen=True)
class ShownAdvice:
    """Advice with its parts, photos and answers; ``address`` is where it is answered."""

    address: str
    name: str
    parts: Sequence[Part]
    photos: list[ShownPhoto]
    answers: list[str]
    answer: str
    asked: str


def show_fan(file: OwnerFile, line: DueLine) -> ShownFan:
    """A fan of the owner's."""
    state = line.state
    told = fan_told(line)
    unsure = line.kitchen and not line.not_running
    kitchen = [wording.kitchen_text(line.kitchen)] if line.kitchen and unsure else []
    made_safe = file.made_safe.get(state.fan_id)
    over = ngettext("overdue by {days} day", "overdue by {days} days", line.days_over)
    place = f" ({state.fan.place})" if state.fan.place else ""
    return ShownFan(
        name=f"{state.fan.tag}{place}",
        site=state.site.name,
        due=wording.due_text(line),
        distance=wording.distance_text(line),
        over=over.format(days=line.days_over) if line.days_over else "",
        stop=told.stop,
        standing=not_running_told(line),
        made_safe=made_safe_told(made_safe) if made_safe else "",
        said=[*told.reasons, *kitchen],
        needs=told.needs,
        coming=_coming(line),
        waiting=file.waiting.get(state.fan_id),
    )


def _coming(line: DueLine) -> str:
    """When somebody comes to its kitchen next; empty while no day is settled."""
    if line.booked is None:
        return ""
    when = wording.when_booked_text(line.booked)
    return _("A technician is coming on {when}.").format(when=when)


def show_advice(file: AdviceFile) -> ShownAdvice:
    """Advice with its answers; of several the last yes, no or not now counts, which is said."""
    row, counts = file.row, file.row.answer
    replaced = _("{answer} Replaced by a later answer.")
    answers = [
        answer_text(each)
        if each == counts or not each.is_answer
        else replaced.format(answer=answer_text(each))
        for each in row.answers
    ]
    questions = [each for each in row.answers if not each.is_answer]
    return ShownAdvice(
        address=reverse("owner_advice", args=[row.pk]),
        name=f"{upper_first(owner_subject(row.subject))}, {row.fan.tag}, {row.fan.site.name}",
        parts=file.parts,
        photos=[_photo(photo, row.fan.tag) for photo in file.photos],
        answers=answers,
        answer=answer_text(counts) if counts else "",
        asked=answer_text(questions[-1]) if questions and not counts else "",
    )


def _photo(photo: Photo, tag: str) -> ShownPhoto:
    width, height = thumbnail_size(photo.width, photo.height)
    name = _("Photo of {tag}").format(tag=tag)
    return ShownPhoto(
        image=reverse("owner_photo", args=[photo.pk, "large"]),
        thumbnail=reverse("owner_photo", args=[photo.pk, "small"]),
        width=width,
        height=height,
        name=f"{name}: {photo.caption}" if photo.caption else name,
    )
