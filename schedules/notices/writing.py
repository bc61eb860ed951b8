"""Writes down what is owed: each letter once, in the words in which it will go out."""

from __future__ import annotations

import logging
from dataclasses import dataclass, field
from datetime import datetime

from schedules.models import Notice
from schedules.notices.overdue import KIND, OverdueLetter, Unreachable, overdue_letters
from schedules.notices.words import letter_words

log = logging.getLogger(__name__)


@dataclass
class Written:
    """How many notices were written, and which owners have no address to write to."""

    notices: int = 0
    unreachable: list[str] = field(default_factory=list)


def write_notices(*, now: datetime) -> Written:
    """Write every notice owed at ``now`` that is not on record yet.

    Two writers at once write each of them once: the table's key decides.
    """
    report = Written()
    for letter in overdue_letters(now):
        if isinstance(letter, Unreachable):
            report.unreachable.append(letter.owner.name)
            log.warning("%s is owed a letter and has no address", letter.owner.name)
        else:
            report.notices += _write(letter, now)
    return report


def _write(letter: OverdueLetter, now: datetime) -> bool:
    addressee, period = letter.key
    words = letter_words(letter)
    _, created = Notice.objects.get_or_create(
        kind=KIND,
        addressee=addressee,
        period=period,
        defaults={
            "owner": letter.owner,
            "address": letter.address,
            "subject": words.subject,
            "text": words.text,
            "html": words.html,
            "owed_at": now,
            "send_after": now,
        },
    )
    return created
