"""The owner's page made ready for its template: words, and where each answer is given."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import gettext as _

from fleet.models import Site
from schedules import wording
from schedules.due.lines import DueLine
from schedules.owner_page.advice import AdviceFile, Part, answer_text
from schedules.owner_page.gathering import OwnerFile
from schedules.owner_page.visits import VisitFile
from schedules.wording import visit_answer_text
from schedules.wording.owners import (
    WaitingTold,
    fan_told,
    made_safe_told,
    not_running_told,
    over_told,
)
from visits.models import Photo
from visits.pictures import thumbnail_size
from visits.wording import owner_subject
from visits.wording.names import upper_first


@dataclass(frozen=True)
class ShownFan:
    """One fan in words: ``stop`` first of all, ``over`` how long overdue, ``coming`` when we come.

    ``standing`` tells what a kitchen's word that it does not run means; any may be empty.
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
class ShownQuestion:
    """What is asked, with its parts, photos and answers; ``address`` is where it is answered.

    ``answer`` is the one that counts, ``asked`` a question back that waits.
    """

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
    kitchen = [wording.kitchen_text(line.kitchen)] if line.kitchen and line.may_run else []
    made_safe = file.made_safe.get(state.fan_id)
    place = f" ({state.fan.place})" if state.fan.place else ""
    return ShownFan(
        name=f"{state.fan.tag}{place}",
        site=state.site.name,
        due=wording.due_text(line),
        distance=wording.distance_text(line),
        over=over_told(line),
        stop=told.stop,
        standing=not_running_told(line),
        made_safe=made_safe_told(made_safe) if made_safe else "",
        said=[*told.reasons, *kitchen],
        coming=_coming(line),
        waiting=file.waiting.get(state.fan_id),
    )


def _coming(line: DueLine) -> str:
    """When somebody comes to its kitchen next; empty while no day is settled."""
    if line.booked is None:
        return ""
    when = wording.when_booked_text(line.booked)
    return _("A technician is coming on {when}.").format(when=when)


def show_advice(file: AdviceFile) -> ShownQuestion:
    """Advice with its answers; of several the last yes, no or not now counts, which is said."""
    row, counts = file.row, file.row.answer
    said = [each for each in row.answers if each.answer != each.Answer.BY_LINK]
    answers = [(answer_text(each), each != counts and each.is_answer) for each in said]
    questions = [each for each in said if not each.is_answer]
    return ShownQuestion(
        address=reverse("owner_advice", args=[row.pk]),
        name=f"{upper_first(owner_subject(row.subject))}, {row.fan.tag}, {row.fan.site.name}",
        parts=file.parts,
        photos=[_photo(photo, row.fan.tag) for photo in file.photos],
        answers=_with_replaced(answers),
        answer=answer_text(counts) if counts else "",
        asked=answer_text(questions[-1]) if questions and not counts else "",
    )


def show_visit(site: Site, file: VisitFile | None) -> ShownQuestion:
    """One more visit than was bought; without a file nothing is asked any more."""
    counts = file.beyond.answer if file else None
    said = file.answers if file else ()
    questions = [each for each in said if not each.is_answer]
    texts = [(visit_answer_text(each), each != counts and each.is_answer) for each in said]
    return ShownQuestion(
        address=reverse("owner_visit", args=[site.pk]),
        name=_("One more visit to {site}").format(site=site.name),
        parts=file.parts if file else (),
        photos=[],
        answers=_with_replaced(texts),
        answer=visit_answer_text(counts) if counts else "",
        asked=visit_answer_text(questions[-1]) if questions and not counts else "",
    )


def _with_replaced(answers: Sequence[tuple[str, bool]]) -> list[str]:
    """Each answer's words; those that another has replaced say so."""
    told = _("{answer} Replaced by a later answer.")
    return [told.format(answer=text) if replaced else text for text, replaced in answers]


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
