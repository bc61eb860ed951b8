"""Advice whose owner asked on the roof for a link to answer by: one letter for a visit, at once."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial
from uuid import UUID

from django.db.models import QuerySet

from fleet.models import Owner
from schedules.models import Notice
from schedules.notices.addressees import addresses_of_owners
from schedules.notices.advice.asking import FOR_GOOD, Asked, standing_advice
from schedules.notices.advice.words import advice_words
from schedules.notices.letter import Letter, Unreachable, owner_key, to_owner
from visits.models import Decision, Recommendation, Visit
from visits.models.visits import superseded

KIND = Notice.Kind.ADVICE
RECENT = timedelta(days=7)
"""What was asked for longer ago is left to the letters that remind; our choice."""


@dataclass(frozen=True)
class LinkAsked:
    """What an owner asked a link for on one visit; ``advice`` is what of it still waits.

    ``period`` lets its letter be owed once, however often the visit is corrected.
    """

    owner: Owner
    period: str
    advice: tuple[Asked, ...]

    @property
    def key(self) -> Mapping[str, str]:
        return {"kind": KIND.value, "addressee": owner_key(self.owner.pk), "period": self.period}


def link_period(visit_id: UUID) -> str:
    """The period of the letter that a visit asked for; that of a correction is its first one's."""
    return f"link-{visit_id}"


def link_letters(now: datetime) -> Iterator[Letter | Unreachable]:
    """One letter for each visit that asks for a link; at any hour, for somebody waits for it."""
    lately = Decision.objects.filter(
        answer=Decision.Answer.BY_LINK, received_at__gt=now - RECENT, visit__here=True
    )
    yield from letters_for(_asked(lately), now)


def letters_for(asked: Sequence[LinkAsked], now: datetime) -> Iterator[Letter | Unreachable]:
    """The letters of what is asked, as far as it still waits."""
    addresses = addresses_of_owners({each.owner.pk for each in asked})
    for each in asked:
        if each.advice:
            words = partial(advice_words, each.owner, each.advice, now)
            yield to_owner(KIND, each.owner, each.period, addresses, words)


def asked_on_visit(visit: Visit) -> list[LinkAsked]:
    """What this visit asked a link for, by owner; none where it no longer stands."""
    return _asked(visit.decisions.filter(answer=Decision.Answer.BY_LINK))


def _asked(rows: QuerySet[Decision]) -> list[LinkAsked]:
    """By visit, what these rows ask a link for and nobody has answered or put right since.

    A visit may name advice on another owner's roof: each is written to of their own alone.
    """
    standing = rows.filter(~superseded("visit"), recommendation__isnull=False)
    told = standing.select_related("visit", "fan__site__owner").order_by("received_at", "pk")
    by_visit: dict[tuple[UUID, int], list[Decision]] = defaultdict(list)
    for row in told:
        if row.visit_id is not None:
            by_visit[row.visit_id, row.fan.site.owner_id].append(row)
    waiting = _waiting({pk for row in told if (pk := row.recommendation_id)})
    return [
        LinkAsked(
            rows[0].fan.site.owner,
            link_period(_first(rows[0].visit)),
            tuple(waiting[pk] for row in rows if (pk := row.recommendation_id) in waiting),
        )
        for rows in by_visit.values()
    ]


def _waiting(ids: set[UUID]) -> Mapping[UUID | None, Asked]:
    answered = Decision.objects.filter(~superseded("visit"), recommendation__in=ids)
    settled = set(answered.filter(answer__in=FOR_GOOD).values_list("recommendation", flat=True))
    rows = Recommendation.objects.filter(pk__in=ids - settled)
    return {row.pk: Asked(row, row.visit.local_on, put_off=False) for row in standing_advice(rows)}


def _first(visit: Visit | None) -> UUID:
    """The visit that the last of its corrections stands for."""
    assert visit is not None  # noqa: S101
    return visit.and_those_corrected()[-1] if visit.supersedes_id else visit.pk
