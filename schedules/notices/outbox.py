"""The rows between owing a notice and having sent it: taken by a lease, finished by its holder."""

from __future__ import annotations

from datetime import datetime, timedelta
from uuid import uuid4

from django.db import connection, transaction

from schedules.models import Notice

LEASE = timedelta(minutes=5)
"""Longer than one sending may take; whoever dies with a notice loses it to others after this."""
WAITS = (
    timedelta(minutes=1), timedelta(minutes=5), timedelta(minutes=15), timedelta(hours=1),
    timedelta(hours=4), timedelta(hours=12), timedelta(hours=24),
)  # fmt: skip
"""After each failed attempt; after the last of them we give up."""
MOST_TRIES = len(WAITS) + 1
NEVER_FINISHED = "It was taken up {tries} times and never finished; see the log of those times."


def claim(now: datetime) -> Notice | None:
    """Take the notice owed longest, for ``LEASE``; None where nothing is owed at ``now``."""
    with transaction.atomic():
        while True:
            owed = Notice.objects.owed(now).order_by("send_after", "pk")
            if connection.features.has_select_for_update_skip_locked:
                owed = owed.select_for_update(skip_locked=True)
            notice = owed.first()
            if notice is None:
                return None
            if notice.tries < MOST_TRIES:
                break
            # Taken that often without a word: what it does to its sender must not go on.
            _settle(notice, given_up_at=now, fault=NEVER_FINISHED.format(tries=notice.tries))
        notice.claim, notice.claimed_until = uuid4(), now + LEASE
        notice.tries += 1
        notice.save(update_fields=["claim", "claimed_until", "tries"])
    return notice


def is_in_hand(notice: Notice, now: datetime) -> bool:
    """Whether the lease still runs; whoever slept through it leaves the notice to others."""
    return notice.claimed_until is not None and now < notice.claimed_until


def finish(notice: Notice, now: datetime) -> bool:
    """Note that it is sent; False where the lease has passed to another meanwhile."""
    return _settle(notice, sent_at=now, fault="")


def put_off(notice: Notice, now: datetime, fault: str) -> bool:
    """Note why it did not go, and when the next attempt comes; after the last one give up."""
    if notice.tries >= MOST_TRIES:
        return give_up(notice, now, fault)
    return _settle(notice, send_after=now + WAITS[notice.tries - 1], fault=fault)


def give_up(notice: Notice, now: datetime, fault: str) -> bool:
    """Note why it will never go; planners see it on their page."""
    return _settle(notice, given_up_at=now, fault=fault)


def hold(notice: Notice, fault: str) -> bool:
    """Let go of it until its address takes mail again, or another one does."""
    return _settle(notice, fault=fault)


def _settle(notice: Notice, *, fault: str, **outcome: datetime) -> bool:
    held = Notice.objects.filter(pk=notice.pk, claim=notice.claim, sent_at=None)
    limit = Notice._meta.get_field("fault").max_length
    return bool(held.update(claim=None, claimed_until=None, fault=fault[:limit], **outcome))
