"""What every kind of notice hands over to be written: to whom, for which period, in what words."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string

from config.characters import hidden_in
from fleet.models import Fan, Owner, Person, Site
from schedules.models import Notice
from schedules.notices.links import link_for

LONGEST_SUBJECT = 120
GAPS = re.compile(r"\n\s*\n\s*\n")


@dataclass(frozen=True)
class LetterWords:
    """What goes out; ``calendar`` is an iCalendar file beside it, or empty."""

    subject: str
    text: str
    html: str
    calendar: str = ""


@dataclass(frozen=True)
class Letter:
    """An email owed once for its kind, addressee and period; to an owner or to a person here.

    ``words`` is asked only where the letter is not on record yet.
    """

    kind: Notice.Kind
    addressee: str
    period: str
    address: str
    words: Callable[[], LetterWords]
    owner: Owner | None = None
    person: Person | None = None

    @property
    def language(self) -> str:
        """The addressee's own; what the company's desk is told is English, as its pages are."""
        if self.owner is not None:
            return self.owner.language
        on_roofs = self.person is not None and self.kind == Notice.Kind.DAY
        return self.person.language if on_roofs and self.person else settings.LANGUAGE_CODE

    @property
    def key(self) -> Mapping[str, str]:
        """The columns that let it be owed once."""
        return dict(zip(("kind", "addressee", "period"), self.told_of, strict=True))

    @property
    def told_of(self) -> tuple[str, str, str]:
        """The values of ``key``: kind, addressee, period."""
        return self.kind.value, self.addressee, self.period


@dataclass(frozen=True)
class Unreachable:
    """Somebody who is owed a letter and has no address."""

    name: str


def owner_key(owner_id: int) -> str:
    """An owner as addressee: its address may change, its key does not."""
    return f"owner-{owner_id}"


def to_owner(
    kind: Notice.Kind,
    owner: Owner,
    period: str,
    addresses: Mapping[int, str],
    words: Callable[[], LetterWords],
) -> Letter | Unreachable:
    """A letter to an owner, where ``addresses`` holds one of theirs."""
    address = addresses.get(owner.pk)
    if address is None:
        return Unreachable(owner.name)
    return Letter(kind, owner_key(owner.pk), period, address, words, owner=owner)


def to_person(
    kind: Notice.Kind, person: Person, period: str, words: Callable[[], LetterWords]
) -> Letter | Unreachable:
    """A letter to one of the company's people, if they have an address."""
    if not person.email:
        return Unreachable(person.called)
    return Letter(kind, f"person-{person.pk}", period, person.email, words, person=person)


def one_line(text: str) -> str:
    """A name as one line of a letter may hold it: no breaks, controls or turns of direction."""
    seen = "".join(" " if hidden_in(sign) or sign.isspace() else sign for sign in text)
    return " ".join(seen.split())


def drawn_for_owner(
    template: str, subject: str, owner: Owner, now: datetime, context: Mapping[str, Any]
) -> LetterWords:
    """The same to an owner, with the link under which it is seen and answered."""
    told = {"owner": one_line(owner.name), "link": link_for(owner, now=now)}
    return drawn(template, subject, {**told, **context})


def fan_name(fan: Fan) -> str:
    """``EF-1 (over the fryers)``."""
    tag, place = one_line(fan.tag), one_line(fan.place)
    return f"{tag} ({place})" if place else tag


def site_name(site: Site) -> str:
    """``Mill Kitchen, 12 Mill Lane``."""
    name, address = one_line(site.name), one_line(site.address)
    return f"{name}, {address}" if address else name


def lines_in(text: str) -> list[str]:
    """What somebody wrote at length, line by line."""
    return [line for told in text.splitlines() if (line := one_line(told))]


def drawn(template: str, subject: str, context: Mapping[str, Any]) -> LetterWords:
    """The words of ``schedules/mail/<template>.txt`` and ``.html`` under a subject of one line."""
    # what looks like an encoded word (RFC 2047) would be decoded by whoever reads it
    told = one_line(subject).replace("=?", "= ?")
    if len(told) > LONGEST_SUBJECT:
        told = told[: LONGEST_SUBJECT - 1] + "…"
    known = {**context, "subject": told}
    return LetterWords(
        subject=told,
        text=GAPS.sub("\n\n", render_to_string(f"schedules/mail/{template}.txt", known)),
        html=render_to_string(f"schedules/mail/{template}.html", known),
    )
