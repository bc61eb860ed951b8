"""Letters owed the moment something was said by a link; written in the transaction of the record.

Planners are the dispatchers with an address, else the managers: whoever would act on it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial

from django.conf import settings
from django.utils.translation import gettext as _

from fleet.models import Owner, OwnerLink, Person, Site
from schedules.models import Notice
from schedules.notices.addressees import addresses_of_owners
from schedules.notices.letter import Letter, LetterWords, drawn
from schedules.notices.links import link_for


@dataclass(frozen=True)
class Said:
    """What was said: a heading, who typed which name when, what was shown, what comes next.

    ``path`` leads planners to the record.
    """

    subject: str
    heading: str
    who: str
    shown: str
    next: str
    path: str


Saying = Callable[[], Said]
"""What was said, in whatever language it is asked in: the owner's letter in the owner's."""


def confirm_to_owner(owner: Owner, period: str, saying: Saying, now: datetime) -> Letter | None:
    """To the owner's own address, whoever had the link; None where there is no address.

    ``period`` makes each letter about it owed once.
    """
    address = addresses_of_owners([owner.pk]).get(owner.pk)
    if not address:
        return None
    words = partial(_confirmed_words, owner, saying, now)
    key = f"owner-{owner.pk}"
    return Letter(Notice.Kind.DECIDED, key, period, address, words, owner=owner)


def _confirmed_words(owner: Owner, saying: Saying, now: datetime) -> LetterWords:
    said = saying()
    context = {"owner": owner.name, "said": said, "link": link_for(owner, now=now)}
    return drawn("confirmed", said.subject, context)


def tell_planners(kind: Notice.Kind, period: str, saying: Saying) -> Iterator[Letter]:
    """The same to each of those who plan, with the way to the record."""
    for person in planners():
        words = partial(_told_words, saying)
        yield Letter(kind, f"person-{person.pk}", period, person.email, words, person=person)


def _told_words(saying: Saying) -> LetterWords:
    said = saying()
    context = {"said": said, "address": settings.PUBLIC_URL + said.path}
    return drawn("told", said.subject, context)


def planners() -> Sequence[Person]:
    """Dispatchers who can be written to; where there is none, managers."""
    here = Person.objects.filter(is_active=True).exclude(email="").order_by("pk")
    dispatchers = list(here.filter(role=Person.Role.DISPATCHER))
    return dispatchers or list(here.filter(role=Person.Role.MANAGER))


def asked_letter(site: Site, period: str, now: datetime) -> Letter | None:
    """Asks a kitchen whether its fans run; None where its owner has no address."""
    address = addresses_of_owners([site.owner_id]).get(site.owner_id)
    if not address:
        return None
    words = partial(_asked_words, site, now)
    key = f"owner-{site.owner_id}"
    return Letter(Notice.Kind.ASKED, key, period, address, words, owner=site.owner)


def _asked_words(site: Site, now: datetime) -> LetterWords:
    link = link_for(site.owner, now=now, purpose=OwnerLink.Purpose.RUNNING, site=site)
    subject = _("Are the exhaust fans at {site} running?").format(site=site.name)
    return drawn("asked", subject, {"site": site, "link": link})
