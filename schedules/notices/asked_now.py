"""The letter with a link that an owner asked for on the roof: owed at once, told to who sent it."""

from __future__ import annotations

import logging
from dataclasses import dataclass
from datetime import datetime

from django.db import DatabaseError, transaction
from django.utils.translation import gettext as _

from fleet.models import Owner
from schedules.models import Notice
from schedules.notices.addressees import refused_among
from schedules.notices.advice import LinkAsked, asked_on_visit, letters_for
from schedules.notices.letter import Letter
from schedules.notices.writing import write_letter
from visits.models import Visit

log = logging.getLogger(__name__)
LINK_STATES = ("owed", "sent", "no_address", "refused", "settled", "later")
NOT_WRITTEN = (ArithmeticError, LookupError, TypeError, ValueError, DatabaseError)


@dataclass(frozen=True)
class LinkTold:
    """What became of it, ``state`` by ``LINK_STATES``.

    Neither the link nor the whole address is told.
    """

    state: str
    sentence: str


def owe_link_letter(*, visit: Visit, now: datetime) -> LinkTold | None:
    """Owe the letter that a visit asked for, once; None where it asked for none.

    Should writing fail, the timetable tries again: the visit stays on record either way.
    """
    asked = asked_on_visit(visit)
    if not asked:
        return None
    first = asked[0]
    if not first.advice and not Notice.objects.filter(**first.key).exists():
        return LinkTold("settled", _("That advice is answered or done: no letter is needed."))
    try:
        with transaction.atomic():
            for letter in letters_for(asked, now):
                if isinstance(letter, Letter):
                    write_letter(letter, now)
    except NOT_WRITTEN:
        log.exception("the letter with a link that visit %s asks for was not written", visit.pk)
    return _told(first)


def _told(asked: LinkAsked) -> LinkTold:
    notice = Notice.objects.filter(**asked.key).first()
    if notice is None:
        return _unwritten(asked.owner)
    named = {"owner": asked.owner.name, "address": masked(notice.address)}
    if notice.sent_at:
        told = _("The letter with the link went to {owner}, {address}.")
        return LinkTold("sent", told.format(**named))
    if notice.given_up_at or refused_among([notice.address]):
        return LinkTold(
            "refused",
            _(
                "The letter with the link does not reach {owner} at {address}: ask for another "
                "address and tell the office, or take the answer here by name."
            ).format(**named),
        )
    return LinkTold(
        "owed", _("A letter with the link goes to {owner}, {address}, now.").format(**named)
    )


def _unwritten(owner: Owner) -> LinkTold:
    if owner.email or owner.people.filter(is_active=True).exclude(email="").exists():
        told = _("The letter to {owner} could not be written now; it follows within the hour.")
        return LinkTold("later", told.format(owner=owner.name))
    return LinkTold(
        "no_address",
        _(
            "{owner} has no email address on record, so no letter goes. Ask for one and tell the "
            "office: once it is entered, within a week, the letter goes by itself. Or take the "
            "answer here by name."
        ).format(owner=owner.name),
    )


def masked(address: str) -> str:
    """``o…@alder.example``: enough to know it again."""
    name, at, host = address.rpartition("@")
    return f"{name[:1]}…{at}{host}"
