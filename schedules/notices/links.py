"""The owner's link in a letter: a stand-in on record, the real one only in the message sent."""

from __future__ import annotations

import re
from datetime import datetime
from uuid import UUID

from django.utils import translation
from django.utils.translation import gettext as _

from fleet.models import Owner, OwnerLink, Site
from fleet.services.links import address_of_link, make_link
from schedules.models import Notice
from schedules.notices.addressees import addresses_of_owners

_UUID = "[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}"
STAND_IN = re.compile(f"owner-link:({_UUID})")


def link_for(
    owner: Owner,
    *,
    now: datetime,
    purpose: OwnerLink.Purpose = OwnerLink.Purpose.PAGE,
    site: Site | None = None,
) -> str:
    """What a letter to the owner writes where its link is to stand; made anew for each letter."""
    address = addresses_of_owners([owner.pk]).get(owner.pk, "")
    link = make_link(owner=owner, now=now, purpose=purpose, site=site, sent_to=address)
    return f"owner-link:{link.pk}"


def links_in(*texts: str) -> set[UUID]:
    """The links for which something stands in these texts."""
    return {UUID(found) for text in texts for found in STAND_IN.findall(text)}


def end_links_in(notice: Notice, now: datetime) -> None:
    """Links in a letter that never goes open nothing."""
    named = links_in(notice.text, notice.html)
    OwnerLink.objects.filter(pk__in=named, owner=notice.owner_id).update(revoked_at=now)


def with_links(notice: Notice, *texts: str) -> list[str]:
    """The texts of a notice as they go out: the same link each time they are sent.

    Only links of the letter's own owner are put in; one ended meanwhile goes out and opens nothing.
    """
    named = links_in(*texts)
    if not named or notice.owner_id is None:
        return list(texts)
    links = OwnerLink.objects.filter(pk__in=named, owner=notice.owner_id)
    known = {str(link.pk): address_of_link(link) for link in links}
    if len(known) < len(named) and notice.owner:
        with translation.override(notice.owner.language):
            known |= {str(link_id): _told() for link_id in named if str(link_id) not in known}
    return [STAND_IN.sub(lambda found: known[found[1]], text) for text in texts]


def without_links(text: str) -> str:
    """A text as people here may see it: that the owner's link stood there, not which."""
    return STAND_IN.sub(_told(), text.replace('href="owner-link:', 'title="owner-link:'))


def _told() -> str:
    return _("[the owner's link]")
