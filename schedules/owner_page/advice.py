"""One piece of advice as its owner reads it: what was found, what it costs, what waiting costs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from uuid import UUID

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from fleet.failure_terms import OTHER_CAUSE, is_known, term_of
from fleet.models import Agreement, OwnerLink
from fleet.quantities import item_of
from schedules.due.bought import agreements_of, spending_limit
from schedules.notices.found import faults_for_owner, worst_read
from schedules.wording import day_text, money_text
from schedules.wording.causes import cause_text
from schedules.wording.owners import WaitingTold, limit_told
from visits.judging import judgements_of
from visits.limits import Judgement
from visits.models import Check, Decision, Finding, Photo, Recommendation
from visits.models.visits import with_those_corrected
from visits.services.beltless import in_doubt
from visits.wording import ANSWERS as ANSWER_WORDS
from visits.wording import no_belt_text, words
from visits.wording.names import upper_first

Seen = tuple[UUID, int]
"""One fan on one visit."""


@dataclass(frozen=True)
class Part:
    """One thing an owner is told under its term; ``more`` stands where there is room."""

    term: str
    text: str
    more: str = ""

    @property
    def shown(self) -> str:
        """As it is kept with an answer."""
        return f"{self.term}: {self.text}\n{self.more}".strip()


@dataclass(frozen=True)
class AdviceFile:
    """Advice with what was found, its photos and its answers, oldest first."""

    row: Recommendation
    parts: Sequence[Part]
    photos: Sequence[Photo]

    @property
    def shown(self) -> str:
        """What the page says, to the letter."""
        return "\n".join(part.shown for part in self.parts)


def advice_of(link: OwnerLink) -> QuerySet[Recommendation]:
    """All advice of the link's owner, with its answers."""
    rows = Recommendation.objects.filter(fan__site__owner=link.owner_id)
    return rows.prefetch_related("decisions")


def advice_files(
    rows: Sequence[Recommendation], waiting: Mapping[int, WaitingTold], today: Mapping[int, date]
) -> list[AdviceFile]:
    """These rows ready to be read; ``waiting`` by fan, ``today`` by site; queries do not grow."""
    found, photos = _found(rows), _photos(rows)
    agreements = agreements_of({row.fan.site.owner_id for row in rows})
    return [
        AdviceFile(
            row,
            [part for part in _parts(row, found, agreements, waiting, today) if part.text],
            photos.get(row.pk, []),
        )
        for row in rows
    ]


def _parts(
    row: Recommendation,
    found: Mapping[UUID, list[str]],
    agreements: Mapping[int, Sequence[Agreement]],
    waiting: Mapping[int, WaitingTold],
    today: Mapping[int, date],
) -> Iterator[Part]:
    place = f" ({row.fan.place})" if row.fan.place else ""
    yield Part(_("Fan"), f"{row.fan.tag}{place}, {row.fan.site.name}")
    yield Part(_("Found"), " ".join([day_text(row.visit.local_on) + ".", *found.get(row.pk, [])]))
    yield Part(_("We advise"), row.text.strip())
    site = row.fan.site
    limit = spending_limit(agreements.get(site.owner_id, ()), today[site.pk])
    yield Part(_("Cost"), cost_text(row, limit))
    told = waiting.get(row.fan_id)
    if told:
        yield Part(_("If you wait"), f"{told.cost} {told.lapsed}".strip(), told.reckoned)


def cost_text(row: Recommendation, limit: Decimal | None) -> str:
    """What it costs, and whether the agreement leaves that to us."""
    if row.cost is None:
        return _("No price is on record. Ask for one if your answer hangs on it.")
    cost = _("About {cost}.").format(cost=money_text(row.cost))
    return f"{cost} {limit_told(row.cost, limit)}"


def _found(rows: Sequence[Recommendation]) -> Mapping[UUID, list[str]]:
    """What the advice's own visit read and noted of its subject, in the owner's words."""
    visits, fans = {row.visit_id for row in rows}, {row.fan_id for row in rows}
    checks = list(Check.objects.filter(visit__in=visits, fan__in=fans, stage="as_found"))
    read: dict[Seen, list[Judgement]] = defaultdict(list)
    for check, judged in zip(checks, judgements_of(checks), strict=True):
        read[check.visit_id, check.fan_id] += judged
    noted: dict[Seen, list[Finding]] = defaultdict(list)
    findings = Finding.objects.filter(visit__in=visits, fan__in=fans).select_related("visit")
    for finding in findings:
        noted[finding.visit_id, finding.fan_id].append(finding)
    seen = {row.pk: (row.visit_id, row.fan_id) for row in rows}
    doubted = in_doubt([*rows, *findings])
    return {
        row.pk: _found_of(row, read[seen[row.pk]], noted[seen[row.pk]], doubted) for row in rows
    }


def _found_of(
    row: Recommendation,
    judged: Sequence[Judgement],
    findings: Sequence[Finding],
    doubted: Collection[UUID],
) -> list[str]:
    """A reading speaks before a note on the same thing; what is said of the cause stays."""
    names = {row.subject, item_of(row.subject)}
    notes = [each for each in findings if names & {each.subject, each.item}]
    worst = worst_read(judged, {row.subject})
    said = faults_for_owner(worst.values(), [] if worst else notes)
    told = said or [_("What our technician saw there led to this advice.")]
    doubt = [no_belt_text()] if any(each.pk in doubted for each in (row, *notes)) else []
    return [*told, *_beside(notes), *doubt]


def _beside(notes: Sequence[Finding]) -> Iterator[str]:
    """What else these notes tell; a cause is never more than possible."""
    if any(note.loss_of_function for note in notes):
        yield _("The fan did not do its work.")
    causes = {term_of(note.cause): note.cause for note in notes if is_known(note.cause)}
    named = [cause_text(cause) for term, cause in causes.items() if term != OTHER_CAUSE]
    for cause in named:
        told = _("A possible cause, not determined: {cause}.")
        yield told.format(cause=cause.rstrip("."))
    if notes and not named:
        yield (
            _("Our technician wrote down a cause; ask us about it.")
            if causes
            else _("The cause is not known.")
        )


def _photos(rows: Sequence[Recommendation]) -> Mapping[UUID, list[Photo]]:
    """Standing photos of the advice's visit: of its subject or a finding on it, else of the fan.

    Those of visits that it corrects are its own too.
    """
    visits = with_those_corrected({row.visit_id for row in rows})
    photos: dict[Seen, list[Photo]] = defaultdict(list)
    kept = Photo.objects.standing().filter(fan__isnull=False, visit__in=visits)
    for photo in kept.select_related("finding"):
        photos[visits[photo.visit_id], photo.fan_id or 0].append(photo)
    return {row.pk: _photos_of(row, photos[row.visit_id, row.fan_id]) for row in rows}


def _photos_of(row: Recommendation, here: Sequence[Photo]) -> list[Photo]:
    names = {row.subject, item_of(row.subject)}
    near = [each for each in here if names & _about(each)]
    return near or [each for each in here if not _about(each)]


def _about(photo: Photo) -> set[str]:
    finding = {photo.finding.subject, photo.finding.item} if photo.finding else set()
    return ({photo.subject} | finding) - {""}


def answer_text(row: Decision) -> str:
    """``Not now, not before Mon 3 Aug 2026: “after the season” (answered by A. Reyes, …)``."""
    told = upper_first(words(ANSWER_WORDS, row.answer))
    if row.not_before:
        told = _("{answer}, until {day}").format(answer=told, day=day_text(row.not_before))
    note = row.note.strip()
    told = f"{told}: “{note}”" if note else f"{told}."
    who = row.decided_by or _("somebody")
    return _("{told} ({who}, {day})").format(told=told, who=who, day=day_text(row.decided_on))
