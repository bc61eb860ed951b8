"""Addresses that mail servers refused for good: marked, told to planners, tried again when told."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from fleet.models import Owner, OwnerLink, Person
from schedules.models import Notice, RefusedAddress
from schedules.notices.addressees import addresses_of_owners, refused_among
from schedules.notices.links import links_in

PERMANENT = 500
"""From this answer on a server will never take the message (RFC 5321, section 4.2.1)."""
OF_SENDER = re.compile(r"\b5\.(7\.\d{1,3}|1\.[78])\b")
"""Enhanced codes (RFC 3463, 3.2 and 3.8) that blame the sender or a policy, not the address."""
KEPT = timedelta(days=7)
"""A letter held longer tells what no longer is; our choice."""
OUT_OF_DATE = "Nobody could be reached for {days} days, so what it says is out of date."
NO_ADDRESS = "Its address was refused and is no longer in the register; no other is there."


@dataclass(frozen=True)
class Refused:
    """An address, since when and in which words it was refused, whose it is, letters held for it.

    ``names`` are owners and people; ``phones`` those of the owners among them.
    """

    address: str
    since: datetime
    why: str
    names: tuple[str, ...]
    phones: tuple[str, ...]
    held: int


def is_about_address(code: int, said: str) -> bool:
    """Whether a server's answer to a recipient means that this address will never take mail."""
    return code >= PERMANENT and not OF_SENDER.search(said)


def mark_refused(*, address: str, why: str, now: datetime) -> None:
    """Send nothing more there; known once, it keeps its first day and words."""
    longest = RefusedAddress._meta.get_field("why").max_length
    told = {"since": now, "why": why[:longest]}
    RefusedAddress.objects.get_or_create(address=address, defaults=told)


def try_again(*, address: str, now: datetime) -> bool:
    """Let letters go there again, those held for it first; False where it was not refused."""
    _give_up_outdated(now)
    return bool(RefusedAddress.objects.filter(pk=address).delete()[0])


def follow_register(*, now: datetime) -> None:
    """Send held letters where the register says by now; forget refusals of addresses it lost."""
    _give_up_outdated(now)
    held = Notice.objects.held().free(now).select_related("person")
    letters = list(held)
    owners = addresses_of_owners({each.owner_id for each in letters if each.owner_id})
    refused = refused_among(owners.values())
    for letter in letters:
        told = letter.person.email if letter.person else owners.get(letter.owner_id or 0, "")
        one = held.filter(pk=letter.pk)
        if not told:
            one.update(given_up_at=now, fault=NO_ADDRESS)
        elif told != letter.address and told not in refused:
            one.update(address=told, send_after=now, fault="")
            links = OwnerLink.objects.filter(pk__in=links_in(letter.text), owner=letter.owner_id)
            links.update(sent_to=told)
    known = [*_emails(Owner.objects), *_emails(Person.objects.filter(is_active=True))]
    unknown = RefusedAddress.objects.exclude(address__in=known)
    # a letter still in somebody's hand would be let go to an address that nobody has any more
    unknown.exclude(address__in=Notice.objects.unsent().values("address")).delete()


def refused_addresses() -> list[Refused]:
    """Whom no letter reaches and why, the longest refused first; for those who plan."""
    rows = list(RefusedAddress.objects.all())
    asked = [row.address for row in rows]
    owners = list(Owner.objects.filter(email__in=asked))
    people = list(Person.objects.filter(email__in=asked, is_active=True))
    waiting = list(Notice.objects.held().values_list("address", flat=True))
    return [
        Refused(
            address=row.address,
            since=row.since,
            why=row.why,
            names=(
                *(owner.name for owner in owners if owner.email == row.address),
                *(_name(person) for person in people if person.email == row.address),
            ),
            phones=tuple(o.phone for o in owners if o.email == row.address and o.phone),
            held=waiting.count(row.address),
        )
        for row in rows
    ]


def _give_up_outdated(now: datetime) -> None:
    old = Notice.objects.held().free(now).filter(owed_at__lt=now - KEPT)
    old.update(given_up_at=now, fault=OUT_OF_DATE.format(days=KEPT.days))


def _emails(rows: object) -> Iterable[str]:
    """Addresses in the register that are refused; all others need not be read."""
    refused = RefusedAddress.objects.values("address")
    return rows.filter(email__in=refused).values_list("email", flat=True)  # type: ignore[attr-defined]


def _name(person: Person) -> str:
    return person.called
