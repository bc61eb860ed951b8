"""Digests can be left and come back to, by the link that each of them carries (RFC 8058)."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import datetime

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext as _

from schedules.models import Notice, Subscription

DIGESTS = frozenset({Notice.Kind.OVERDUE, Notice.Kind.MONDAY, Notice.Kind.SUMMARY})
"""What comes again each week.  A stop, a fan out of service or an answer is never one of these."""
STAND_IN = "leave-link:"
"""Stands in stored letters where the reader's own link goes out."""
TOKEN = re.compile(r"[0-9a-f]{64}")


def find_subscription(token: str) -> Subscription | None:
    """The one that a link's words open."""
    if not TOKEN.fullmatch(token):
        return None
    return Subscription.objects.select_related("owner", "person").filter(token=token).first()


def leave(*, subscription: Subscription, now: datetime) -> None:
    """Write no more of these to that reader; what is written and not sent goes no more either."""
    Subscription.objects.filter(pk=subscription.pk, left_at=None).update(left_at=now)
    unsent = Notice.objects.unsent().free(now)
    unsent.filter(kind=subscription.kind, addressee=subscription.addressee).update(
        given_up_at=now, fault=Notice.LEFT
    )


def come_back(*, subscription: Subscription) -> None:
    """From the next one on they come again."""
    Subscription.objects.filter(pk=subscription.pk).update(left_at=None)


def left_by() -> frozenset[tuple[str, str]]:
    """Kind and addressee of every digest that its reader has left."""
    return frozenset(Subscription.objects.left().values_list("kind", "addressee"))


def leave_address(notice: Notice) -> str:
    """Where the reader of a digest leaves it; always the same, empty for other letters."""
    if notice.kind not in DIGESTS:
        return ""
    readers = {"owner": notice.owner, "person": notice.person}
    subscription, _created = Subscription.objects.get_or_create(
        kind=notice.kind, addressee=notice.addressee, defaults=readers
    )
    return settings.PUBLIC_URL + reverse("leave", args=[subscription.token])


def leave_headers(address: str) -> Mapping[str, str]:
    """What mail programs make a button of; one click only by https, as RFC 8058, 3.1, wants it."""
    if not address:
        return {}
    told = {"List-Unsubscribe": f"<{address}>"}
    if address.startswith("https://"):
        told["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"
    return told


def with_leave_link(text: str, address: str) -> str:
    """A letter's text as it goes out."""
    return text.replace(STAND_IN, address) if address else text


def without_leave_link(text: str) -> str:
    """A text as people here may see it: nobody ends what another reads."""
    told = _("[the reader's link]")
    return text.replace(f'href="{STAND_IN}', f'title="{STAND_IN}').replace(STAND_IN, told)
