"""Raise a fan's revision whenever something it hangs on changes."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from django.db import connection, transaction
from django.utils import timezone

from config.questions import among, listed
from config.statements import run
from fleet.models import Fan
from schedules.models import DueState

RAISE = """
    UPDATE schedules_duestate SET revision = revision + 1,
        touched_at = CASE WHEN reckoned_revision = revision THEN %s ELSE touched_at END
    WHERE fan_id IN ({})
"""
TOUCHED = "SELECT fan_id FROM schedules_duestate WHERE {}"
IN_ORDER = f"{TOUCHED} ORDER BY fan_id FOR UPDATE"
"""Locked in one order by all: two records of the same fans never wait for each other."""


def lock_in_order(fan_ids: Iterable[int]) -> None:
    """Hold due rows until the transaction ends, as ``raise_revisions`` does.

    Whoever writes those of many fans in several statements holds them first: in another order two
    would wait for each other.
    """
    if connection.features.has_select_for_update:
        with connection.cursor() as cursor:
            cursor.execute(IN_ORDER.format(among("fan_id")), [listed(sorted(set(fan_ids)))])


def raise_revisions(fan_ids: Iterable[int]) -> None:
    """Give every fan a due row and mark it to be reckoned again."""
    touched, now = sorted(set(fan_ids)), timezone.now()
    with transaction.atomic(savepoint=False):
        if raise_kept(touched, now) < len(touched):
            add_rows(touched, now)


def raise_kept(touched: list[int], now: datetime) -> int:
    """Mark the due rows that there are of these fans, told in order; how many."""
    locked = IN_ORDER if connection.features.has_select_for_update else TOUCHED
    raised_at = connection.ops.adapt_datetimefield_value(now)
    return run(RAISE.format(locked.format(among("fan_id"))), [raised_at, listed(touched)])


def add_rows(fan_ids: list[int], now: datetime) -> None:
    """Fans without a due row get one, with the copied site and owner."""
    missing = Fan.objects.filter(pk__in=fan_ids, due_state__isnull=True)
    places = missing.values_list("pk", "site_id", "site__owner_id")
    rows = [
        DueState(fan_id=pk, site_id=site, owner_id=owner, touched_at=now)
        for pk, site, owner in places
    ]
    DueState.objects.bulk_create(rows, ignore_conflicts=True)
