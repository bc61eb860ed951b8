"""Writes down what is owed: each letter once, in the words in which it will go out."""

from __future__ import annotations

import logging
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from itertools import islice
from typing import Any

from django.utils import translation

from schedules.models import Notice
from schedules.notices.addressees import unknown_countries
from schedules.notices.kinds import KINDS
from schedules.notices.leaving import left_by
from schedules.notices.letter import Letter, Unreachable
from schedules.notices.links import end_links_in
from schedules.notices.refusals import follow_register

log = logging.getLogger(__name__)
AT_ONCE = 100


@dataclass
class Written:
    """How many notices were written; who has no address, which countries' holidays nobody knows."""

    notices: int = 0
    unreachable: list[str] = field(default_factory=list)
    unknown_countries: list[str] = field(default_factory=list)


def write_notices(*, now: datetime) -> Written:
    """Write every notice owed at ``now`` that is not on record yet.

    Two writers at once write each of them once: the table's key decides.
    """
    follow_register(now=now)
    report = Written(unknown_countries=unknown_countries())
    left = left_by()
    for owed_at in KINDS:
        letters = iter(owed_at(now))
        while some := list(islice(letters, AT_ONCE)):
            known = _on_record(some)
            for letter in some:
                if isinstance(letter, Unreachable):
                    report.unreachable.append(letter.name)
                    log.warning("%s is owed a letter and has no address", letter.name)
                elif letter.told_of in known:
                    continue
                elif letter.told_of[:2] not in left:
                    report.notices += write_letter(letter, now)
                elif letter.kind == Notice.Kind.OVERDUE:
                    _keep_unsent(letter, now)
    return report


def _on_record(letters: Iterable[Letter | Unreachable]) -> frozenset[tuple[str, str, str]]:
    """Kind, addressee and period of those that are written already: most, in most turns."""
    keys = [letter.told_of for letter in letters if isinstance(letter, Letter)]
    kinds, addressees, periods = map(set, zip(*keys, strict=True)) if keys else ((), (), ())
    rows = Notice.objects.filter(kind__in=kinds, addressee__in=addressees, period__in=periods)
    return frozenset(rows.values_list("kind", "addressee", "period"))


def _keep_unsent(letter: Letter, now: datetime) -> None:
    """Put on record what its reader has left: whoever leaves the letters is not silent unseen."""
    if write_letter(letter, now, given_up_at=now, fault=Notice.LEFT):
        end_links_in(Notice.objects.get(**letter.key), now)


def write_letter(letter: Letter, now: datetime, **outcome: Any) -> bool:
    """Put one letter on record, with what became of it; False where it is there already."""
    if Notice.objects.filter(**letter.key).exists():
        return False
    with translation.override(letter.language):
        words = letter.words()
    row = {
        "owner": letter.owner,
        "person": letter.person,
        "address": letter.address,
        "subject": words.subject,
        "text": words.text,
        "html": words.html,
        "calendar": words.calendar,
        "owed_at": now,
        "send_after": now,
        **outcome,
    }
    _, created = Notice.objects.get_or_create(**letter.key, defaults=row)
    return created
