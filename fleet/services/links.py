"""Owners' links: made, put in words, found again, ended."""

from __future__ import annotations

import base64
import hashlib
import re
from datetime import datetime, timedelta
from uuid import UUID

from django.conf import settings
from django.urls import reverse
from django.utils.crypto import salted_hmac

from fleet.models import Owner, OwnerLink, Person, Site

LASTS = {OwnerLink.Purpose.PAGE: timedelta(days=30), OwnerLink.Purpose.RUNNING: timedelta(days=7)}
"""Our choice: a letter's link outlives the next letters; a storm's question does not stay open."""
TOKEN_BYTES = 16
TOKEN = re.compile(r"[a-z2-7]{26}")
SALT = "fleet.services.links"


def make_link(
    *,
    owner: Owner,
    now: datetime,
    purpose: OwnerLink.Purpose = OwnerLink.Purpose.PAGE,
    site: Site | None = None,
    sent_to: str = "",
    by: Person | None = None,
) -> OwnerLink:
    """A new link of the owner, good for ``LASTS``; ValueError for a site of another owner."""
    if site is not None and site.owner_id != owner.pk:
        raise ValueError(f"{site} does not belong to {owner}: a link of theirs cannot be about it.")
    link = OwnerLink(
        owner=owner, site=site, purpose=purpose, sent_to=sent_to, made_by=by, made_at=now,
        expires_at=now + LASTS[purpose],
    )  # fmt: skip
    link.token_sha256 = _digest(token_of(link))
    link.save(force_insert=True)
    return link


def token_of(link: OwnerLink) -> str:
    """Its words, 128 bits that nobody can guess, in letters and digits that can be read out."""
    made = salted_hmac(SALT, str(link.pk), algorithm="sha256").digest()[:TOKEN_BYTES]
    return base64.b32encode(made).decode().rstrip("=").lower()


def address_of_link(link: OwnerLink) -> str:
    """The whole address; after a change of the install's secret the link has new words."""
    token = token_of(link)
    if link.token_sha256 != _digest(token):
        OwnerLink.objects.filter(pk=link.pk).update(token_sha256=_digest(token))
    return settings.PUBLIC_URL + reverse("owner_link", args=[token])


def find_by_token(token: str, now: datetime) -> OwnerLink | None:
    """The link of these words, if it still stands; why another does not is nobody's business."""
    told = token.lower()
    if not TOKEN.fullmatch(told):
        return None
    return _standing(now, token_sha256=_digest(told))


def find_link(link_id: UUID, now: datetime) -> OwnerLink | None:
    """The link that was opened before, if it still stands."""
    return _standing(now, pk=link_id)


def _standing(now: datetime, **which: object) -> OwnerLink | None:
    link = OwnerLink.objects.select_related("owner", "site").filter(**which).first()
    return link if link and link.stands(now) else None


def note_use(*, link: OwnerLink, now: datetime) -> None:
    """That it was opened today (UTC): enough to tell a link in use from a forgotten one."""
    if link.used_on != now.date():
        OwnerLink.objects.filter(pk=link.pk).update(used_on=now.date())


def revoke_links(*, owner: Owner, now: datetime) -> int:
    """From this moment none of the owner's links opens anything; how many that ended."""
    return OwnerLink.objects.open_at(now).filter(owner=owner).update(revoked_at=now)


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()
